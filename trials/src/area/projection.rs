//! Degrees to local metres and back.
//!
//! A plane touching the WGS 84 ellipsoid at a reference point. East and north are lengths along the
//! parallel and the meridian, from the radii of curvature there, carried to second order: with
//! latitude and longitude differences dphi and dlam (radians), N and M the radii of curvature in the
//! prime vertical and the meridian,
//!
//! ```text
//! east  = N(phi) cos(phi) dlam             at the point's own latitude phi
//! north = M dphi + M' dphi^2 / 2 + N sin(phi0) cos(phi0) dlam^2 / 2
//! ```
//!
//! where M' = dM/dphi. The last term is the sagging of a parallel below its tangent. Within 200 m
//! of the reference point, at latitudes up to 80 degrees, distances between points differ from
//! geodesics by less than 1 mm (tested against Karney's algorithm).
//!
//! Source: NIMA TR8350.2 (WGS 84 constants a and f); radii of curvature as in any text on geodesy,
//! for instance Torge and Müller, *Geodesy* (4th ed. 2012), section 4.1.

use crate::Error;
use crate::ranges::outline::{LATITUDE, LONGITUDE, WIDTH};
use crate::ranges::shown;

/// Semi-major axis of WGS 84, metres.
const A: f64 = 6_378_137.0;
/// Flattening of WGS 84.
const F: f64 = 1.0 / 298.257_223_563;
/// First eccentricity squared.
const E2: f64 = F * (2.0 - F);

/// A local plane touching the ellipsoid at a reference point.
#[derive(Debug, Clone, Copy, PartialEq, serde::Serialize)]
pub struct LocalFrame {
    /// Longitude of the origin, degrees east.
    pub lon: f64,
    /// Latitude of the origin, degrees north.
    pub lat: f64,
}

impl LocalFrame {
    /// The frame whose origin is the middle of the box round `points` (longitude, latitude, in their ranges), or the
    /// fault: points further apart than any green.
    ///
    /// # Errors
    /// As said; `place` names the points in the message.
    pub(super) fn about(points: &[[f64; 2]], place: &str) -> Result<Self, Error> {
        let Some(&[lon0, lat0]) = points.first() else {
            return Err(Error::new(
                place,
                "there are no points",
                "Record the walk again.",
            ));
        };
        let first = Self {
            lon: lon0,
            lat: lat0,
        };
        let (mut low, mut high) = ([0.0_f64; 2], [0.0_f64; 2]);
        for &[lon, lat] in points {
            let at = first.to_metres(lon, lat);
            for axis in 0..2 {
                low[axis] = low[axis].min(at[axis]);
                high[axis] = high[axis].max(at[axis]);
            }
        }
        // The plane is true over a green; a kilometre is no green and is refused as one.
        if (0..2).any(|axis| high[axis] - low[axis] > WIDTH.end()) {
            return Err(Error::new(
                place,
                format!(
                    "the points span {:.0} m by {:.0} m, wider than any green",
                    high[0] - low[0],
                    high[1] - low[1]
                ),
                "Check that longitude comes first in every point, and that all belong to one green.",
            ));
        }
        let [lon, lat] = first.to_degrees(
            f64::midpoint(low[0], high[0]),
            f64::midpoint(low[1], high[1]),
        );
        Ok(Self { lon, lat })
    }

    /// East and north of the origin, metres, of a longitude and latitude in degrees.
    #[must_use]
    pub fn to_metres(&self, lon: f64, lat: f64) -> [f64; 2] {
        let phi0 = self.lat.to_radians();
        let dphi = (lat - self.lat).to_radians();
        // A green astride the date line is still one green.
        let dlam = ((lon - self.lon + 540.0).rem_euclid(360.0) - 180.0).to_radians();
        let phi = lat.to_radians();
        let (m, m_slope) = meridian(phi0);
        let east = normal(phi) * phi.cos() * dlam;
        let north = m * dphi
            + m_slope * dphi * dphi / 2.0
            + normal(phi0) * phi0.sin() * phi0.cos() * dlam * dlam / 2.0;
        [east, north]
    }

    /// Longitude and latitude, degrees, of a place given in metres: the inverse of
    /// [`to_metres`](Self::to_metres), by fixed-point steps that shrink the error by the angular
    /// size of the green (about 1e-5) each; four leave less than a micrometre.
    #[must_use]
    pub fn to_degrees(&self, x_m: f64, y_m: f64) -> [f64; 2] {
        let phi0 = self.lat.to_radians();
        let (m, _) = meridian(phi0);
        let parallel = normal(phi0) * phi0.cos();
        let (mut lon, mut lat) = (self.lon, self.lat);
        for _ in 0..4 {
            let [east, north] = self.to_metres(lon, lat);
            lon += ((x_m - east) / parallel).to_degrees();
            lat += ((y_m - north) / m).to_degrees();
        }
        [lon, lat]
    }
}

/// What is wrong with a longitude and latitude.
pub(super) fn degrees_fault(place: &str, lon: f64, lat: f64) -> Option<Error> {
    let found = format!(
        "({}, {}) is no longitude and latitude of a green",
        shown(lon),
        shown(lat)
    );
    let cure = "Put longitude first, then latitude.";
    if !LATITUDE.holds(lat) {
        return Some(LATITUDE.refuse(place, &found, cure));
    }
    (!LONGITUDE.holds(lon)).then(|| LONGITUDE.refuse(place, &found, cure))
}

/// Radius of curvature in the prime vertical.
fn normal(phi: f64) -> f64 {
    let s = phi.sin();
    A / (1.0 - E2 * s * s).sqrt()
}

/// Radius of curvature in the meridian, and its slope with latitude.
fn meridian(phi: f64) -> (f64, f64) {
    let (s, c) = phi.sin_cos();
    let w = 1.0 - E2 * s * s;
    let m = A * (1.0 - E2) / (w * w.sqrt());
    (m, 3.0 * m * E2 * s * c / w)
}
