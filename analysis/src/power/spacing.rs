//! How far apart the points of a square grid may lie for a map of stated precision.
//!
//! At the middle of a grid square, the worst place inside the grid, ordinary kriging from the sixteen
//! nearest points has a standard error that grows with the spacing (A. B. `McBratney`, R. Webster and
//! T. M. Burgess, "The design of optimal sampling schemes for local estimation and mapping", Computers
//! and Geosciences 7, 1981, 331-334). Needs a variogram from an earlier survey; when it is flat, no
//! grid makes a map, and the answer says so.

use serde::Serialize;

use super::above_zero;
use crate::Error;
use crate::numerics::{cholesky, roots};

/// Shape of a variogram: half the mean squared difference against distance.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Variogram {
    /// Semivariance of points side by side (of the count of one core).
    pub nugget: f64,
    /// Further semivariance at great distance.
    pub structured: f64,
    /// Range in metres.
    pub range_m: f64,
    /// Form.
    pub form: Form,
}

/// Form of a variogram.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Form {
    /// Reaches its sill at the range.
    Spherical,
    /// Nears its sill as 1 - exp(-distance / range).
    Exponential,
}

impl Variogram {
    /// Covariance of the structured part at a distance in metres.
    fn covariance(&self, distance: f64) -> f64 {
        let h = distance / self.range_m;
        self.structured
            * match self.form {
                Form::Spherical if h >= 1.0 => 0.0,
                Form::Spherical => 1.0 - 1.5 * h + 0.5 * h.powi(3),
                Form::Exponential => (-h).exp(),
            }
    }
}

/// Standard error of the mapped level (without the nugget of a single core) at the middle of a square
/// of side `spacing_m`.
///
/// # Errors
/// A spacing, structured variance or range not above 0, a negative nugget.
pub fn map_error(variogram: &Variogram, spacing_m: f64) -> Result<f64, Error> {
    above_zero("grid spacing", spacing_m, false)?;
    above_zero("structured semivariance", variogram.structured, false)?;
    above_zero("range of the variogram", variogram.range_m, false)?;
    above_zero("nugget + 1", variogram.nugget + 1.0, false)?;
    let places: Vec<(f64, f64)> = (0..16)
        .map(|i| (f64::from(i % 4) - 1.5, f64::from(i / 4) - 1.5))
        .collect();
    let n = places.len();
    let mut a = vec![0.0; n * n];
    for (i, p) in places.iter().enumerate() {
        for (j, q) in places.iter().enumerate() {
            a[i * n + j] = variogram.covariance(spacing_m * (p.0 - q.0).hypot(p.1 - q.1));
        }
        a[i * n + i] += variogram.nugget;
    }
    let mut to_middle: Vec<f64> = places
        .iter()
        .map(|p| variogram.covariance(spacing_m * p.0.hypot(p.1)))
        .collect();
    let aim = to_middle.clone();
    // A covariance without nugget stays positive definite; rounding is all that could break it.
    if cholesky::factor(&mut a, n, 1e-12).is_err() {
        return Ok(0.0);
    }
    cholesky::solve(&a, n, &mut to_middle);
    let mut ones = vec![1.0; n];
    cholesky::solve(&a, n, &mut ones);
    let explained: f64 = aim.iter().zip(&to_middle).map(|(c, w)| c * w).sum();
    let unknown_mean = (1.0 - to_middle.iter().sum::<f64>()).powi(2) / ones.iter().sum::<f64>();
    Ok((variogram.structured - explained + unknown_mean)
        .max(0.0)
        .sqrt())
}

/// The widest spacing, up to `widest_m`, whose map error is at most `wanted`; `None` when even a grid
/// of `closest_m` is not fine enough.
///
/// # Errors
/// As [`map_error`]; an error or limit not above 0.
pub fn widest_spacing(
    variogram: &Variogram,
    wanted: f64,
    closest_m: f64,
    widest_m: f64,
) -> Result<Option<f64>, Error> {
    above_zero("wanted map error", wanted, false)?;
    if map_error(variogram, closest_m)? > wanted {
        return Ok(None);
    }
    if map_error(variogram, widest_m)? <= wanted {
        return Ok(Some(widest_m));
    }
    let gap = |spacing| map_error(variogram, spacing).map_or(f64::NAN, |e| e - wanted);
    // A millimetre of spacing is beyond any tape.
    Ok(roots::brent(gap, closest_m, widest_m, 1e-3).map(|root| root.x))
}
