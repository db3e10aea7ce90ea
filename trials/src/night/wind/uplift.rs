//! Lift on a sheet in its edge zone and in its middle.
//!
//! Coefficients, unless the club has its own: EN 1991-1-4:2005, table 7.2, flat roofs with sharp eaves, pressure coefficients
//! for 10 m2: 1.8 upwards in zone F (corners) for the edge zone, since wind turns and every corner of it may be the first to
//! be met, and 0.7 in zone H for the middle. For liners that lie on the ground, Giroud, Pelte and Bathurst (1995,
//! Geosynthetics International 2:897-952) take up to 1.0 at a crest and 0.4 on flat ground, figures from memory: the
//! estimate here is the more careful one.

use serde::Serialize;

/// Gravity, m/s2: the standard value of the CGPM (1901), rounded.
pub const GRAVITY: f64 = 9.81;

/// Net upward pressure coefficients and how wide the edge zone is.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Coefficients {
    /// In the edge zone.
    pub edge: f64,
    /// In the middle.
    pub middle: f64,
    /// Width of the edge zone, metres. A roof's follows from its height, which a sheet has not: one metre is common practice,
    /// no source.
    pub edge_zone_m: f64,
}

impl Default for Coefficients {
    fn default() -> Self {
        Self {
            edge: 1.8,
            middle: 0.7,
            edge_zone_m: 1.0,
        }
    }
}

/// Lift that weights must take, newtons per square metre, the sheet's own dry weight taken off; not below 0.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Uplift {
    /// In the edge zone.
    pub edge_n_per_m2: f64,
    /// In the middle.
    pub middle_n_per_m2: f64,
}

/// Lift at a dynamic pressure (pascals) on a sheet of `grams_per_m2`.
#[must_use]
pub fn uplift(pressure_pa: f64, coefficients: &Coefficients, grams_per_m2: f64) -> Uplift {
    let own = grams_per_m2 / 1000.0 * GRAVITY;
    let net = |coefficient: f64| (coefficient * pressure_pa - own).max(0.0);
    Uplift {
        edge_n_per_m2: net(coefficients.edge),
        middle_n_per_m2: net(coefficients.middle),
    }
}
