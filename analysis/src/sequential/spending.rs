//! May a trial be judged before its end? Boundaries for two or more looks at one overall error rate.
//!
//! Each look may use up part of alpha, as a function of the share of information gathered by then
//! (K. K. G. Lan and D. L. `DeMets`, "Discrete sequential boundaries for clinical trials", Biometrika
//! 70, 1983, 659-663). Boundaries come from the recursive numerical integration of Armitage, `McPherson`
//! and Rowe (1969): the density of the running sum between the bounds is carried from look to look on
//! Gauss-Legendre points. The looks' statistics are taken as normal, so with few plots the boundary is
//! applied to a p-value of the small-sample test: stop when p is at or below the look's own level.

use std::f64::consts::PI;

use serde::Serialize;

use crate::Error;
use crate::distributions::{normal_quantile, normal_sf};
use crate::error::open_share;
use crate::numerics::{quadrature, roots};

/// How fast alpha may be used up.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Spending {
    /// Almost nothing early, nearly all at the end.
    ObrienFleming,
    /// About evenly.
    Pocock,
}

/// One look.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Look {
    /// Share of all information gathered by then (for equal counts: share of the plot-occasions).
    pub information: f64,
    /// Two-sided alpha used up to and including this look.
    pub spent: f64,
    /// Stop when the absolute z is at or above this.
    pub z: f64,
    /// The same as a two-sided p: stop when p is at or below it.
    pub p: f64,
}

impl Spending {
    /// One-sided `alpha` used up at information `share` (0 to 1).
    #[must_use]
    pub fn spent(self, alpha: f64, share: f64) -> f64 {
        if share >= 1.0 {
            return alpha;
        }
        match self {
            Self::ObrienFleming if share <= 0.0 => 0.0,
            Self::ObrienFleming => {
                2.0 * normal_sf(normal_quantile(1.0 - 0.5 * alpha) / share.sqrt())
            }
            Self::Pocock => alpha * (share * (std::f64::consts::E - 1.0)).ln_1p(),
        }
    }
}

/// Points of the density between two looks; 64 leave less than 1e-9 of chance for looks no closer
/// together than 1 part in 100 of the information.
const POINTS: usize = 64;

/// The running sum on the scale of information, between the bounds of the last look.
struct Density {
    at: Vec<f64>,
    chance: Vec<f64>,
    information: f64,
}

impl Density {
    fn start() -> Self {
        Self {
            at: vec![0.0],
            chance: vec![1.0],
            information: 0.0,
        }
    }

    /// Chance of being above `bound` at the next look, given `drift` per unit of information.
    fn above(&self, bound: f64, information: f64, drift: f64) -> f64 {
        let step = information - self.information;
        let tail = |x: f64| normal_sf((bound - x - drift * step) / step.sqrt());
        self.at
            .iter()
            .zip(&self.chance)
            .map(|(x, c)| c * tail(*x))
            .sum()
    }

    /// Carries the density to the next look and keeps what lies within `bound` of 0.
    fn carry(&self, bound: f64, information: f64, drift: f64) -> Self {
        let step = information - self.information;
        let rule = quadrature::legendre(POINTS);
        // Nine standard deviations bound the sum where the look's bound is wider.
        let half = bound.min(9.0 * information.sqrt() + drift.abs() * information);
        let at: Vec<f64> = rule.nodes.iter().map(|node| node * half).collect();
        let scale = half / (2.0 * PI * step).sqrt();
        let chance = at
            .iter()
            .zip(&rule.weights)
            .map(|(y, weight)| {
                let reached: f64 = self
                    .at
                    .iter()
                    .zip(&self.chance)
                    .map(|(x, c)| c * (-0.5 * (y - x - drift * step).powi(2) / step).exp())
                    .sum();
                weight * scale * reached
            })
            .collect();
        Self {
            at,
            chance,
            information,
        }
    }
}

fn check(shares: &[f64], alpha: f64) -> Result<(), Error> {
    open_share("alpha", alpha)?;
    let rising = shares.windows(2).all(|w| w[0] < w[1]);
    let inside = shares.iter().all(|s| *s > 0.0 && *s <= 1.0);
    if shares.is_empty() || !rising || !inside {
        return Err(Error::new(
            "looks",
            format!("{shares:?}"),
            "looks are rising shares of the information, above 0 and at most 1",
            "give for example 0.5 and 1 for an autumn and a final look",
        ));
    }
    Ok(())
}

/// Symmetric two-sided boundaries at overall level `alpha` for looks at the given shares.
///
/// # Errors
/// `alpha` outside (0, 1); shares that do not rise, or lie outside (0, 1].
pub fn boundaries(shares: &[f64], alpha: f64, spending: Spending) -> Result<Vec<Look>, Error> {
    check(shares, alpha)?;
    let mut density = Density::start();
    let mut before = 0.0;
    let mut looks = Vec::with_capacity(shares.len());
    for &information in shares {
        let side = spending.spent(0.5 * alpha, information);
        let use_now = side - before;
        // No look spends less than double precision can tell from nothing, 1e-15: beyond z = 8.
        let widest = 8.0 * information.sqrt();
        let excess = |b: f64| density.above(b, information, 0.0) - use_now;
        let bound = roots::brent(excess, 0.0, widest, 1e-12).map_or(widest, |root| root.x);
        let z = bound / information.sqrt();
        looks.push(Look {
            information,
            spent: 2.0 * side,
            z,
            p: 2.0 * normal_sf(z),
        });
        density = density.carry(bound, information, 0.0);
        before = side;
    }
    Ok(looks)
}

/// Chance of first crossing at each look, upper and lower boundary together, when the final z has mean
/// `shift`; their sum is the power.
///
/// # Errors
/// As [`boundaries`], for the looks' own shares.
pub fn crossing(looks: &[Look], shift: f64) -> Result<Vec<f64>, Error> {
    let shares: Vec<f64> = looks.iter().map(|l| l.information).collect();
    check(&shares, 0.5)?;
    let mut density = Density::start();
    let mut out = Vec::with_capacity(looks.len());
    for look in looks {
        let (t, bound) = (look.information, look.z * look.information.sqrt());
        let inside: f64 = density.chance.iter().sum();
        let below = inside - density.above(-bound, t, shift);
        out.push(density.above(bound, t, shift) + below.max(0.0));
        density = density.carry(bound, t, shift);
    }
    Ok(out)
}

/// The constant of the classical boundaries with `looks` equal steps: z = c at every look (`Pocock`) or
/// z = c / sqrt(share) (`ObrienFleming`).
///
/// S. J. Pocock, Biometrika 64, 1977, 191-199; P. C. O'Brien and T. R. Fleming, Biometrics 35, 1979,
/// 549-556; constants tabulated by C. Jennison and B. W. Turnbull, "Group Sequential Methods", 2000.
///
/// # Errors
/// `alpha` outside (0, 1) or no looks.
pub fn classical_constant(looks: usize, alpha: f64, shape: Spending) -> Result<f64, Error> {
    let shares: Vec<f64> = (1..=looks).map(|i| i as f64 / looks as f64).collect();
    check(&shares, alpha)?;
    let total = |c: f64| {
        let looks: Vec<Look> = shares
            .iter()
            .map(|&information| {
                let z = match shape {
                    Spending::Pocock => c,
                    Spending::ObrienFleming => c / information.sqrt(),
                };
                Look {
                    information,
                    spent: 0.0,
                    z,
                    p: 0.0,
                }
            })
            .collect();
        crossing(&looks, 0.0).map_or(f64::NAN, |c| c.iter().sum::<f64>() - alpha)
    };
    Ok(roots::brent(total, 1e-3, 8.0, 1e-10).map_or(f64::NAN, |root| root.x))
}
