//! How unlike are values that lie a given distance apart?

use serde::Serialize;

use super::{Place, check, distance};
use crate::Error;
use crate::numerics::minimise::brent;

/// Half the mean squared difference of pairs of places in one distance class.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Lag {
    /// Mean distance of the pairs, metres.
    pub distance_m: f64,
    /// Pairs.
    pub pairs: usize,
    /// Matheron's estimate (1962): half the mean squared difference.
    pub matheron: f64,
    /// The robust estimate of Cressie & Hawkins (1980, Math. Geol. 12, 115-125).
    pub robust: f64,
}

/// The empirical variogram in `classes` equal classes up to half the greatest distance; classes without
/// a pair are left out.
///
/// # Errors
/// As [`check`].
pub fn variogram(places: &[Place], values: &[f64], classes: usize) -> Result<Vec<Lag>, Error> {
    check(places, values)?;
    let n = places.len();
    let pairs = || (0..n).flat_map(|i| (0..i).map(move |j| (i, j)));
    let far = pairs()
        .map(|(i, j)| distance(places[i], places[j]))
        .fold(0.0, f64::max);
    let width = far / 2.0 / classes.max(1) as f64;
    let mut sums = vec![(0_usize, 0.0, 0.0, 0.0); classes];
    for (i, j) in pairs() {
        let d = distance(places[i], places[j]);
        // Class k holds distances above k and up to k + 1 widths; coinciding places fall in the first.
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "not negative; beyond the last class the pair is left out"
        )]
        let class = ((d / width).ceil() as usize).max(1) - 1;
        if let Some(sum) = sums.get_mut(class).filter(|_| width > 0.0) {
            let gap = (values[i] - values[j]).abs();
            *sum = (sum.0 + 1, sum.1 + d, sum.2 + gap * gap, sum.3 + gap.sqrt());
        }
    }
    Ok(sums
        .into_iter()
        .filter(|s| s.0 > 0)
        .map(|(pairs, d, square, root)| {
            let m = pairs as f64;
            Lag {
                distance_m: d / m,
                pairs,
                matheron: square / m / 2.0,
                robust: (root / m).powi(4) / (0.457 + 0.494 / m) / 2.0,
            }
        })
        .collect())
}

/// Shape of a fitted variogram. Exponential and the two Matern shapes are one family of rising smoothness
/// (1/2, 3/2, 5/2), at which its Bessel function has a closed form (Stein 1999, *Interpolation of Spatial
/// Data*, s. 2.7); counts on a grid hardly distinguish values between them.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Shape {
    /// Level from the range on.
    Spherical,
    /// Approaches its level: 95 % of it at 3.0 times the range. Matern of smoothness 1/2.
    Exponential,
    /// Matern of smoothness 3/2, a surface with a slope everywhere: 95 % at 4.7 times the range.
    MaternThreeHalves,
    /// Matern of smoothness 5/2, a surface with a curvature everywhere: 95 % at 5.9 times the range.
    MaternFiveHalves,
}

impl Shape {
    /// Every shape, from the roughest surface to the smoothest.
    pub const ALL: [Self; 4] = [
        Self::Exponential,
        Self::Spherical,
        Self::MaternThreeHalves,
        Self::MaternFiveHalves,
    ];
}

/// A fitted variogram: nugget + sill x shape(distance / range).
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct VariogramModel {
    /// Shape.
    pub shape: Shape,
    /// Jump at distance 0: noise of a single sample and variation over less than the spacing.
    pub nugget: f64,
    /// Rise above the nugget.
    pub sill: f64,
    /// Range, metres.
    pub range_m: f64,
}

impl VariogramModel {
    /// Covariance of the smooth part at a distance, the nugget left out.
    #[must_use]
    pub fn covariance(&self, d: f64) -> f64 {
        let h = d / self.range_m;
        self.sill
            * match self.shape {
                Shape::Spherical if h >= 1.0 => 0.0,
                Shape::Spherical => 1.0 - 1.5 * h + 0.5 * h.powi(3),
                Shape::Exponential => (-h).exp(),
                Shape::MaternThreeHalves => (1.0 + h) * (-h).exp(),
                Shape::MaternFiveHalves => (1.0 + h + h * h / 3.0) * (-h).exp(),
            }
    }

    /// Semivariance at a distance; 0 at distance 0.
    #[must_use]
    pub fn semivariance(&self, d: f64) -> f64 {
        if d > 0.0 {
            self.nugget + self.sill - self.covariance(d)
        } else {
            0.0
        }
    }
}

/// A model with its weighted sum of squares.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct FittedModel {
    /// The model.
    pub model: VariogramModel,
    /// Weighted sum of squared residuals.
    pub squares: f64,
}

/// Fits a shape to a variogram (its robust estimates if `robust`) by least squares weighted by pairs
/// over squared distance, which follows the variance of the estimates near the origin (Cressie 1993,
/// *Statistics for Spatial Data*, s. 2.6.2). Nugget and sill follow in closed form for each range and are
/// held at 0 or above; the range is searched between the first distance and twice the last, in 40
/// geometric steps and then by Brent's method in the best of them. `None` below three classes.
///
/// Shapes are compared by their `squares`: all have three parameters.
#[must_use]
pub fn fit(lags: &[Lag], shape: Shape, robust: bool) -> Option<FittedModel> {
    const STEPS: i32 = 40;
    let (first, last) = (lags.first()?.distance_m, lags.last()?.distance_m);
    if lags.len() < 3 || first <= 0.0 {
        return None;
    }
    let (low, high) = (first.ln(), (2.0 * last).ln());
    let step = (high - low) / f64::from(STEPS);
    let squares = |log_range: f64| at_range(lags, shape, robust, log_range.exp()).squares;
    let best = (0..=STEPS)
        .map(|i| low + step * f64::from(i))
        .min_by(|a, b| squares(*a).total_cmp(&squares(*b)))?;
    let found = brent(
        squares,
        (best - step).max(low),
        (best + step).min(high),
        1e-8,
    );
    Some(at_range(lags, shape, robust, found.x.exp()))
}

/// The best nugget and sill for one range.
fn at_range(lags: &[Lag], shape: Shape, robust: bool, range_m: f64) -> FittedModel {
    let unit = VariogramModel {
        shape,
        nugget: 0.0,
        sill: 1.0,
        range_m,
    };
    let rows: Vec<(f64, f64, f64)> = lags
        .iter()
        .map(|l| {
            let weight = l.pairs as f64 / (l.distance_m * l.distance_m);
            let y = if robust { l.robust } else { l.matheron };
            (weight, unit.semivariance(l.distance_m), y)
        })
        .collect();
    let sum = |f: &dyn Fn(&(f64, f64, f64)) -> f64| rows.iter().map(|r| r.0 * f(r)).sum::<f64>();
    let (w, x, y) = (sum(&|_| 1.0), sum(&|r| r.1), sum(&|r| r.2));
    let (xx, xy) = (sum(&|r| r.1 * r.1), sum(&|r| r.1 * r.2));
    let determinant = w * xx - x * x;
    // Beyond this the shape is a level line over all classes, and only nugget plus sill is known.
    let (nugget, sill) = if determinant > 1e-12 * w * xx {
        (
            (xx * y - x * xy) / determinant,
            (w * xy - x * y) / determinant,
        )
    } else {
        (y / w, 0.0)
    };
    let (nugget, sill) = match (nugget < 0.0, sill < 0.0) {
        (true, _) => (0.0, xy / xx),
        (false, true) => (y / w, 0.0),
        (false, false) => (nugget, sill),
    };
    FittedModel {
        model: VariogramModel {
            shape,
            nugget,
            sill,
            range_m,
        },
        squares: sum(&|r| (r.2 - nugget - sill * r.1).powi(2)),
    }
}
