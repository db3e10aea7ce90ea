//! Variance-mean relations over several places: Taylor's power law, Iwao's regression.

use serde::Serialize;

use super::{FrequencyTable, crowding};
use crate::results::Caution;

/// A straight line by ordinary least squares.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct VarianceMeanRelation {
    /// Intercept.
    pub intercept: f64,
    /// Standard error of the intercept; none with two places.
    pub intercept_se: Option<f64>,
    /// Slope.
    pub slope: f64,
    /// Standard error of the slope; none with two places.
    pub slope_se: Option<f64>,
    /// Share of the variance explained; none when the response does not vary.
    pub r2: Option<f64>,
    /// Places used.
    pub places: usize,
    /// What the reader must know.
    pub cautions: Vec<Caution>,
}

/// Taylor's power law s^2 = a m^b (L. R. Taylor 1961, Nature 189, 732-735): log10 s^2 on log10 m, so that
/// `intercept` is log10 a and `slope` is b. 1 is chance, about 2 strong aggregation.
///
/// Places where nothing was counted or the counts do not vary are left out, with a caution. None when
/// fewer than two places remain or all have the same mean. Estimates are biased when most places have
/// fewer than 15 units (Clark & Perry 1994, Environ. Ecol. Stat. 1, 287-302).
#[must_use]
pub fn taylor(places: &[FrequencyTable]) -> Option<VarianceMeanRelation> {
    relation(places, |place| {
        let variance = place.variance.filter(|&v| v > 0.0)?;
        (place.total > 0).then(|| (place.mean.log10(), variance.log10()))
    })
}

/// Iwao's regression of mean crowding on mean (S. Iwao 1968, Res. Popul. Ecol. 10, 1-20): `intercept` is
/// alpha (crowding at a mean near 0: the size of a basic clump), `slope` is beta (above 1: clumps are
/// themselves clumped). Crowding is m + s^2/m - 1.
///
/// Places where nothing was counted are left out, with a caution. None as for [`taylor`].
#[must_use]
pub fn iwao(places: &[FrequencyTable]) -> Option<VarianceMeanRelation> {
    relation(places, |place| {
        Some((place.mean, crowding(place)?.crowding))
    })
}

fn relation(
    places: &[FrequencyTable],
    point: impl Fn(&FrequencyTable) -> Option<(f64, f64)>,
) -> Option<VarianceMeanRelation> {
    let points: Vec<(f64, f64)> = places.iter().filter_map(point).collect();
    let n = points.len() as f64;
    let (x_mean, y_mean) = (
        points.iter().map(|p| p.0).sum::<f64>() / n,
        points.iter().map(|p| p.1).sum::<f64>() / n,
    );
    let (mut xx, mut xy, mut yy) = (0.0, 0.0, 0.0);
    for (x, y) in &points {
        let (dx, dy) = (x - x_mean, y - y_mean);
        xx += dx * dx;
        xy += dx * dy;
        yy += dy * dy;
    }
    // Means that agree to rounding carry no slope.
    if points.len() < 2 || xx <= n * (f64::EPSILON * x_mean.abs().max(1.0)).powi(2) {
        return None;
    }
    let slope = xy / xx;
    let residual = (yy - slope * xy).max(0.0);
    let variance = (points.len() > 2).then(|| residual / (n - 2.0));
    Some(VarianceMeanRelation {
        intercept: y_mean - slope * x_mean,
        slope,
        intercept_se: variance.map(|v| (v * (1.0 / n + x_mean * x_mean / xx)).sqrt()),
        slope_se: variance.map(|v| (v / xx).sqrt()),
        r2: (yy > 0.0).then(|| 1.0 - residual / yy),
        places: points.len(),
        cautions: cautions(places, points.len()),
    })
}

fn cautions(places: &[FrequencyTable], used: usize) -> Vec<Caution> {
    let mut cautions = Vec::new();
    if used < places.len() {
        cautions.push(Caution::new(
            "places-left-out",
            format!(
                "{} of {} places are left out: nothing was counted there, or the counts do not vary.",
                places.len() - used,
                places.len()
            ),
        ));
    }
    if 2 * places.iter().filter(|p| p.n < 15).count() > places.len() {
        cautions.push(Caution::new(
            "few-units-a-place",
            "Most places have fewer than 15 counts: the slope is biased and says little.",
        ));
    }
    cautions
}
