//! Local Moran: is a place like its neighbours, or an outlier among them?

use serde::Serialize;

use super::conditional_permutation::conditional_p;
use super::{SpatialWeights, check_links};
use crate::Error;
use crate::multiplicity::false_discovery_among;
use crate::results::PValue;

/// Quadrant of the Moran scatterplot: high-high and low-low clusters, high-low and low-high outliers.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Quadrant {
    /// Above the mean, its neighbours above that of all other places.
    HighHigh,
    /// Below the mean, its neighbours below that of all other places.
    LowLow,
    /// Above the mean, its neighbours below that of all other places.
    HighLow,
    /// Below the mean, its neighbours above that of all other places.
    LowHigh,
    /// Neighbours as chance would choose them.
    NotSignificant,
}

/// Local Moran of one place.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct LocalMoran {
    /// The statistic: positive where a place is like its neighbours; `None` on a flat map, 0 for an island.
    pub value: Option<f64>,
    /// Two-sided p of its neighbours' weighted total with its own value held; `None` for an island, on a
    /// flat map, and without draws where choices cannot be counted.
    pub p: Option<PValue>,
    /// `p` adjusted for the number of places (Benjamini & Hochberg 1995).
    pub q: Option<f64>,
    /// How the place compares with its neighbours where `q` is at most the level.
    pub quadrant: Quadrant,
}

/// Local Moran of every place (Anselin 1995, Geogr. Anal. 27, 93-115, eq. 12): its deviation times the
/// weighted total of its neighbours' deviations, over the mean squared deviation of all places. With
/// `w` row-standardised the values average to Moran's I.
///
/// Given a place's own value, only its neighbours' total can vary, so the conditional p asks the same of
/// chance as that of [`hot_spots`](super::hot_spots::hot_spots) and equals it where the neighbours of a
/// place weigh alike; the classes differ, as they also name the outliers.
/// A place at the mean has the value 0 and, whatever its neighbours, no quadrant.
///
/// # Errors
/// When values are not finite or differ in number from the places.
pub fn local_moran(
    values: &[f64],
    neighbours: &SpatialWeights,
    level: f64,
    draws: usize,
    seed: u64,
) -> Result<Vec<LocalMoran>, Error> {
    check_links(values, neighbours)?;
    let n = values.len() as f64;
    let mean = values.iter().sum::<f64>() / n;
    let z: Vec<f64> = values.iter().map(|v| v - mean).collect();
    let square = z.iter().map(|z| z * z).sum::<f64>() / n;
    // Spread below rounding of the values themselves is no spread.
    let rounding = 1e-12 * values.iter().fold(0.0_f64, |a, v| a.max(v.abs()));
    if square.sqrt() <= rounding {
        let flat = LocalMoran {
            value: None,
            p: None,
            q: None,
            quadrant: Quadrant::NotSignificant,
        };
        return Ok(vec![flat; values.len()]);
    }
    let around: Vec<f64> = (0..values.len())
        .map(|i| neighbours.of(i).map(|(j, w)| w * z[j]).sum())
        .collect();
    let p = conditional_p(values, neighbours, draws, seed);
    let plain: Vec<Option<f64>> = p.iter().map(|p| p.map(|p| p.value)).collect();
    let quadrant = |i: usize, q: Option<f64>| {
        let own = if z[i].abs() <= rounding { 0.0 } else { z[i] };
        // The others' mean lies this far on the other side of the mean: chance chooses among them.
        let beside = around[i] + neighbours.of(i).map(|(_, w)| w).sum::<f64>() * z[i] / (n - 1.0);
        match (q.is_some_and(|q| q <= level), own, beside) {
            (true, z, a) if z > 0.0 && a > 0.0 => Quadrant::HighHigh,
            (true, z, a) if z > 0.0 && a < 0.0 => Quadrant::HighLow,
            (true, z, a) if z < 0.0 && a > 0.0 => Quadrant::LowHigh,
            (true, z, a) if z < 0.0 && a < 0.0 => Quadrant::LowLow,
            _ => Quadrant::NotSignificant,
        }
    };
    Ok(p.into_iter()
        .zip(false_discovery_among(&plain))
        .enumerate()
        .map(|(i, (p, q))| LocalMoran {
            value: Some(z[i] * around[i] / square),
            p,
            q,
            quadrant: quadrant(i, q),
        })
        .collect())
}
