//! One answer from many trials.

use ndarray::Array2;
use serde::Serialize;

use super::between_variance::{i2, q_profile};
use super::effect::{Effect, IntervalMethod, PoolOptions, check};
use super::moderation::{Moderation, variances};
use super::weighted_fit::{Independent, Model, WeightedFit};
use crate::Error;
use crate::distributions::{chi_squared_sf, normal_quantile, normal_sf, t_quantile, t_sf};
use crate::results::Caution;

/// The average effect of many trials, and how far they differ.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Pooled {
    /// The average effect, on the scale of the effects.
    pub effect: f64,
    /// Its standard error, the Hartung-Knapp factor in it.
    pub standard_error: f64,
    /// Lower limit of the average effect.
    pub low: f64,
    /// Upper limit of the average effect.
    pub high: f64,
    /// Two-sided p of no effect on average.
    pub p: f64,
    /// Degrees of freedom of interval and p; `None` for the normal law.
    pub degrees_of_freedom: Option<f64>,
    /// The Hartung-Knapp factor as it came, before any bound; `None` where it is not used or there is one trial.
    pub hartung_knapp_factor: Option<f64>,
    /// Variance of true effects between trials.
    pub tau2: f64,
    /// Lower limit of that variance (Q-profile).
    pub tau2_low: f64,
    /// Its upper limit; infinite with one trial.
    pub tau2_high: f64,
    /// Share of the scatter that is not sampling error, I^2, in per cent.
    pub i2: f64,
    /// Cochran's Q: weighted squares of the effects about their mean, were all true effects one.
    pub q: f64,
    /// Its degrees of freedom.
    pub q_df: usize,
    /// Its p by chi-squared; 1 with one trial.
    pub q_p: f64,
    /// Lower limit of the true effect of the next trial; `None` with one trial.
    pub prediction_low: Option<f64>,
    /// Its upper limit.
    pub prediction_high: Option<f64>,
    /// Weight of each trial in the average, as a share; they add up to 1.
    pub weights: Vec<f64>,
    /// How variances of few degrees of freedom were steadied; `None` where errors are known or there is one trial.
    pub moderation: Option<Moderation>,
    /// Confidence level of all limits.
    pub level: f64,
    /// What the reader should know.
    pub cautions: Vec<Caution>,
}

/// Pools effects by a random-effects model.
///
/// The prediction interval is the average plus and minus t, on the interval's degrees of freedom, times the root of tau^2 plus
/// the squared standard error (Higgins, Thompson & Spiegelhalter 2009, JRSS A 172:137-159, who take t on two degrees of
/// freedom fewer than trials; here it is one, as the interval has it). One trial comes back as it is: its own interval, no
/// prediction, and a variance between trials from 0 to infinity.
///
/// # Example
/// The BCG trials of Colditz et al. (1994, JAMA 271:698-702), the first four.
/// ```
/// use halfgreen_analysis::meta_analysis::{Effect, PoolOptions, pool};
///
/// let effect = |estimate, variance: f64| Effect {
///     estimate,
///     standard_error: variance.sqrt(),
///     degrees_of_freedom: None,
/// };
/// let trials = [(-0.889, 0.3256), (-1.585, 0.1946), (-1.348, 0.4154), (-1.442, 0.0200)];
/// let pooled = pool(&trials.map(|(y, v)| effect(y, v)), &PoolOptions::default())?;
/// assert!(pooled.low < -1.4 && pooled.high < -0.9 && pooled.tau2 == 0.0);
/// # Ok::<(), halfgreen_analysis::Error>(())
/// ```
///
/// # Errors
/// No effects, effects or standard errors that are no usable numbers, a level outside 0 to 1.
pub fn pool(effects: &[Effect], options: &PoolOptions) -> Result<Pooled, Error> {
    check(effects)?;
    options.check()?;
    let estimates: Vec<f64> = effects.iter().map(|e| e.estimate).collect();
    let (variances, moderation) = variances(effects);
    let columns = Array2::ones((effects.len(), 1));
    let model = Independent {
        effects: &estimates,
        variances: &variances,
        columns: columns.view(),
    };
    pooled(&model, effects, moderation, options).ok_or_else(unsettled)
}

/// What a search that found no end is told as.
pub(super) fn unsettled() -> Error {
    Error::new(
        "variance between trials",
        "a search that did not settle",
        "effects and standard errors must be of sizes that can be weighed against each other",
        "look for a standard error that is far too small or far too large",
    )
}

fn pooled(
    model: &Independent<'_>,
    effects: &[Effect],
    moderation: Option<Moderation>,
    options: &PoolOptions,
) -> Option<Pooled> {
    let (tau2, fit) = options.between.estimate(model)?;
    let none = model.at(0.0)?;
    let law = Law::of(model, &fit, effects, options.interval);
    let effect = fit.coefficients[0];
    let standard_error = (law.factor() * fit.covariance[[0, 0]]).sqrt();
    let reach = law.quantile(0.5 + 0.5 * options.level);
    let next = (model.df() > 0).then(|| reach * (tau2 + standard_error.powi(2)).sqrt());
    let spread = q_profile(model, options.level)?;
    let (q, q_p) = cochran(model, &none);
    let weights = model.weights(tau2);
    let total: f64 = weights.iter().sum();
    Some(Pooled {
        effect,
        standard_error,
        low: effect - reach * standard_error,
        high: effect + reach * standard_error,
        p: law.two_sided(effect / standard_error),
        degrees_of_freedom: law.df,
        hartung_knapp_factor: law.found,
        tau2,
        tau2_low: spread.low,
        tau2_high: spread.high,
        i2: i2(model, tau2)?,
        q,
        q_df: model.df(),
        q_p,
        prediction_low: next.map(|reach| effect - reach),
        prediction_high: next.map(|reach| effect + reach),
        weights: weights.iter().map(|w| w / total).collect(),
        moderation,
        level: options.level,
        cautions: cautions(effects.len(), tau2, &law),
    })
}

/// Q without a variance between trials, and its p by chi-squared; 0 and 1 without degrees of freedom.
pub(super) fn cochran(model: &impl Model, none: &WeightedFit) -> (f64, f64) {
    if model.df() == 0 {
        return (0.0, 1.0);
    }
    (none.q, chi_squared_sf(none.q, model.df() as f64))
}

fn cautions(trials: usize, tau2: f64, law: &Law) -> Vec<Caution> {
    let mut out = Vec::new();
    if trials == 1 {
        out.push(Caution::new(
            "one-trial",
            "there is one trial: how far trials differ, and what the next one may find, cannot be told",
        ));
    } else if trials < 5 {
        out.push(Caution::new(
            "few-trials",
            format!("{trials} trials tell little of how far trials differ"),
        ));
    }
    if trials > 1 && trials < 5 && law.factor() < 1.0 {
        out.push(Caution::new(
            "closer-than-errors",
            "these few trials agree more closely than their own errors lead to expect: that may be luck, and the range then is too narrow",
        ));
    }
    if trials > 1 && tau2 == 0.0 {
        out.push(Caution::new(
            "no-variance-between-found",
            "trials differ no more than their own errors allow; that they do not differ at all is not shown",
        ));
    }
    out
}

/// The law that coefficients over their standard errors are referred to.
#[derive(Debug, Clone, Copy)]
pub(super) struct Law {
    /// `None` for the normal.
    pub(super) df: Option<f64>,
    /// The Hartung-Knapp factor as it came.
    pub(super) found: Option<f64>,
    bounded: bool,
}

impl Law {
    pub(super) fn of(
        model: &impl Model,
        fit: &WeightedFit,
        effects: &[Effect],
        method: IntervalMethod,
    ) -> Self {
        let df = model.df() as f64;
        let known = effects.iter().all(|e| e.degrees_of_freedom.is_none());
        let bounded = method == IntervalMethod::HartungKnapp && known;
        if method == IntervalMethod::Normal {
            return Self {
                df: None,
                found: None,
                bounded,
            };
        }
        if model.df() == 0 {
            // Nothing to compare trials by: a single trial keeps the law of its own error.
            let own = effects.first().filter(|_| effects.len() == 1);
            let df = own.and_then(|effect| effect.degrees_of_freedom);
            return Self {
                df,
                found: None,
                bounded,
            };
        }
        Self {
            df: Some(df),
            found: Some(fit.q / df),
            bounded,
        }
    }

    /// What variances are multiplied by.
    pub(super) fn factor(&self) -> f64 {
        match self.found {
            None => 1.0,
            Some(found) if self.bounded => found.max(1.0),
            Some(found) => found,
        }
    }

    pub(super) fn quantile(&self, p: f64) -> f64 {
        self.df
            .map_or_else(|| normal_quantile(p), |df| t_quantile(p, df))
    }

    /// Two-sided p; 1 for nothing over nothing.
    pub(super) fn two_sided(&self, t: f64) -> f64 {
        if t.is_nan() {
            return 1.0;
        }
        let tail = self
            .df
            .map_or_else(|| normal_sf(t.abs()), |df| t_sf(t.abs(), df));
        (2.0 * tail).min(1.0)
    }
}
