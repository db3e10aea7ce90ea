//! The surface of larvae per core over the green, and whether the survey can bear one.

use halfgreen_analysis::results::Caution;
use halfgreen_analysis::spatial::Place;
use halfgreen_analysis::spatial::kriging::Kriging;
use halfgreen_analysis::spatial::variogram::{Lag, Shape, VariogramModel, fit, variogram};
use serde::Serialize;

use super::field::{DRAWS, Field};
use super::survey::Survey;
use crate::Error;

/// Places below which no surface is fitted: fewer leave classes of the variogram with under 30 pairs, the
/// number advised by Journel & Huijbregts (1978), *Mining Geostatistics*, p. 194 (from memory).
pub const FEWEST: usize = 36;
/// Places beyond which no surface is fitted: the work grows with their cube, and with as many takes some seconds.
const MOST: usize = 2500;
/// Classes of the variogram.
const CLASSES: usize = 8;
/// Added to larvae per core before the logarithm, so that a core without any has one: half a larva, the
/// middle between none and the least that can be found.
const ADDED: f64 = 0.5;

/// A fitted surface of log(larvae per core + 0.5).
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Surface {
    /// Its variogram.
    pub model: VariogramModel,
    /// Empirical variogram; Matheron's estimates were fitted.
    pub variogram: Vec<Lag>,
    /// Added to larvae per core before the logarithm.
    pub added: f64,
    /// Mean error when each place is predicted from the others, logarithms.
    pub cv_mean_error: f64,
    /// Root mean squared error of that prediction, logarithms.
    pub cv_rmse: f64,
    /// The same had the plain mean of the others been taken.
    pub cv_rmse_of_mean: f64,
    /// Mean squared error over the stated variance; 1 where variances are right.
    pub cv_mean_squared_deviation_ratio: f64,
    #[serde(skip)]
    kriging: Kriging,
}

/// Fits a surface by ordinary kriging, or says why the survey cannot bear one.
///
/// # Errors
/// Places and counts that do not pair up.
pub fn surface(survey: &Survey) -> Result<Result<Surface, Caution>, Error> {
    let n = survey.places.len();
    let refuse = |text: String| Ok(Err(Caution::new("no-surface", text)));
    if n < FEWEST {
        return refuse(format!(
            "{n} places are too few for a surface; it takes {FEWEST}. Local means are used instead."
        ));
    }
    if n > MOST {
        return refuse(format!(
            "{n} places are too many for a surface; it takes {MOST} at most. Local means are used instead."
        ));
    }
    let logs: Vec<f64> = survey.values().iter().map(|v| (v + ADDED).ln()).collect();
    let lags = variogram(&survey.places, &logs, CLASSES)?;
    let mut fits: Vec<_> = Shape::ALL
        .into_iter()
        // Many cores without larvae are equal, which pulls the robust estimates far too low.
        .filter_map(|shape| fit(&lags, shape, false))
        .filter(|f| f.model.sill > 0.0)
        .collect();
    fits.sort_by(|a, b| a.squares.total_cmp(&b.squares));
    if fits.is_empty() {
        return refuse(
            "Unlikeness does not grow with distance: there is no surface to draw. Local means are used instead."
                .to_owned(),
        );
    }
    // A very smooth shape may leave places that repeat one another; the next best shape does not.
    let mut prepared = fits
        .iter()
        .map(|f| (f.model, Kriging::new(&survey.places, &logs, f.model)));
    let first = prepared.next();
    let ready =
        |(model, kriging): (VariogramModel, Result<Kriging, _>)| Some((model, kriging.ok()?));
    let (model, kriging) = match first {
        Some((model, Ok(kriging))) => (model, kriging),
        Some((_, Err(fault))) => match prepared.find_map(ready) {
            Some(next) => next,
            None => return refuse(format!("{fault} Local means are used instead.")),
        },
        None => return refuse("No shape fits. Local means are used instead.".to_owned()),
    };
    let size = n as f64;
    let mean = logs.iter().sum::<f64>() / size;
    let left_out = kriging.leave_one_out();
    let errors: Vec<f64> = left_out
        .iter()
        .zip(&logs)
        .map(|(k, v)| k.value - v)
        .collect();
    let root = |x: f64| (x / size).sqrt();
    let cv_rmse = root(errors.iter().map(|e| e * e).sum());
    let cv_rmse_of_mean = root(logs.iter().map(|v| (v - mean).powi(2)).sum()) * size / (size - 1.0);
    if cv_rmse >= cv_rmse_of_mean {
        return refuse(
            "Predicting each place from the others does no better than the plain mean: no surface is drawn. \
             Local means are used instead."
                .to_owned(),
        );
    }
    let scaled = errors
        .iter()
        .zip(&left_out)
        .map(|(e, k)| e * e / k.variance);
    Ok(Ok(Surface {
        model,
        variogram: lags,
        added: ADDED,
        cv_mean_error: errors.iter().sum::<f64>() / size,
        cv_rmse,
        cv_rmse_of_mean,
        cv_mean_squared_deviation_ratio: scaled.sum::<f64>() / size,
        kriging,
    }))
}

/// The surface at a point.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SurfacePoint {
    /// Expected larvae per core.
    pub mean: f64,
    /// Standard error of the surface in logarithms.
    pub log_se: f64,
}

impl Surface {
    /// What is expected at a point.
    #[must_use]
    pub fn at(&self, point: Place) -> SurfacePoint {
        let k = self.kriging.surface(point);
        SurfacePoint {
            mean: self.larvae(k.value + k.variance / 2.0),
            log_se: k.variance.sqrt(),
        }
    }

    /// Mean of cores where the smooth surface has this logarithm.
    fn larvae(&self, log: f64) -> f64 {
        ((log + self.model.nugget / 2.0).exp() - self.added).max(0.0)
    }

    /// Larvae per core at points, and equally likely alternatives drawn jointly, one stream each. The
    /// nugget is taken as noise of single cores, so that a mean of cores is exp(s + nugget / 2) - 0.5.
    ///
    /// # Errors
    /// Points so close together that their joint law cannot be worked out.
    pub fn field(&self, points: &[Place], seed: u64) -> Result<Field, Error> {
        let n = points.len();
        let (means, covariance) = self.kriging.joint(points);
        let expected = (0..n)
            .map(|i| self.larvae(means[i] + covariance[[i, i]].max(0.0) / 2.0))
            .collect();
        let draws = self
            .kriging
            .alternatives(points, DRAWS, seed)
            .ok_or_else(|| {
                let what = "the points lie too close together for its joint law";
                Error::new("surface", what, "Widen the strips.")
            })?;
        let draws = draws
            .into_iter()
            .map(|d| d.into_iter().map(|log| self.larvae(log)).collect())
            .collect();
        Ok(Field { expected, draws })
    }
}
