//! How far apart the points of a square grid may lie for a map of stated precision.
//!
//! At the middle of a grid square, the worst place inside the grid, ordinary kriging from the sixteen
//! nearest points has a standard error that grows with the spacing (A. B. `McBratney`, R. Webster and
//! T. M. Burgess, "The design of optimal sampling schemes for local estimation and mapping", Computers
//! and Geosciences 7, 1981, 331-334). Needs a variogram from an earlier survey; when it is flat, no
//! grid makes a map, and the answer says so.

use super::Place;
use super::kriging::Kriging;
use super::variogram::VariogramModel;
use crate::Error;
use crate::error::above_zero;
use crate::numerics::roots;

/// Standard error of the mapped level (without the nugget of a single sample) at the middle of a square
/// of side `spacing_m`.
///
/// # Errors
/// A spacing, sill or range not above 0, a negative nugget.
pub fn map_error(variogram: &VariogramModel, spacing_m: f64) -> Result<f64, Error> {
    above_zero("grid spacing", spacing_m, false)?;
    above_zero("sill of the variogram", variogram.sill, false)?;
    above_zero("range of the variogram", variogram.range_m, false)?;
    above_zero("nugget + 1", variogram.nugget + 1.0, false)?;
    let places: Vec<Place> = (0..16)
        .map(|i| {
            let (across, up) = (f64::from(i % 4) - 1.5, f64::from(i / 4) - 1.5);
            (spacing_m * across, spacing_m * up)
        })
        .collect();
    // The error does not depend on the values. Places that lie too close to be told apart have none.
    let error = Kriging::new(&places, &[0.0; 16], *variogram)
        .map_or(0.0, |grid| grid.surface((0.0, 0.0)).variance.sqrt());
    Ok(error)
}

/// The widest spacing, up to `widest_m`, whose map error is at most `wanted`; `None` when even a grid
/// of `closest_m` is not fine enough.
///
/// # Errors
/// As [`map_error`]; an error or limit not above 0.
pub fn widest_spacing(
    variogram: &VariogramModel,
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
