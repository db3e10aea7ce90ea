//! What one trial brings to the pool, and how trials are to be pooled.

use serde::{Deserialize, Serialize};

use crate::Error;
use crate::error::open_share;

/// The effect that one trial found.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Effect {
    /// The estimate, on a scale where errors are about normal: the natural log of the ratio of mean counts.
    pub estimate: f64,
    /// Its standard error, above 0, on the same scale.
    pub standard_error: f64,
    /// Degrees of freedom of the standard error; `None` where it counts as known.
    pub degrees_of_freedom: Option<f64>,
}

/// Estimator of the variance between trials, tau^2.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum BetweenVariance {
    /// Restricted maximum likelihood (Raudenbush 2009, in Cooper et al., "The Handbook of Research Synthesis", 2nd ed., ch. 16).
    #[default]
    RestrictedMaximumLikelihood,
    /// Moments of Q with the weights of no variance between trials (`DerSimonian` & Laird 1986).
    DerSimonianLaird,
    /// The value at which Q is its degrees of freedom (Paule & Mandel 1982, J. Res. Natl. Bur. Stand. 87:377-385).
    PauleMandel,
}

/// How the interval of the average effect is made.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum IntervalMethod {
    /// Student's t on one degree of freedom fewer than trials; the variance is multiplied by the factor of Hartung and Knapp,
    /// Q at the estimated tau^2 over its degrees of freedom, where that is above 1.
    ///
    /// Where errors are known the factor is never below 1 (Knapp & Hartung 2003, Statistics in Medicine 22:2693-2710, equation 12; Roever, Knapp &
    /// Friede 2015, BMC Medical Research Methodology 15:99). Trials that happen to agree more closely than their own errors
    /// allow are luck: effects that are all alike would otherwise get an interval of no width.
    /// Where errors have degrees of freedom the factor is used as it comes: such errors are no measure to hold trials to, and t on
    /// so few degrees of freedom reckons with that luck (`benches/pooling/POOLING.md`).
    #[default]
    HartungKnapp,
    /// The same with the factor as it comes (Hartung & Knapp 2001, Statistics in Medicine 20:3875-3889), below 1 too.
    HartungKnappUnbounded,
    /// The normal law, as if tau^2 were known. Too narrow with few trials; for comparison with older work.
    Normal,
}

/// How trials are pooled.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct PoolOptions {
    /// Estimator of the variance between trials.
    pub between: BetweenVariance,
    /// How intervals are made.
    pub interval: IntervalMethod,
    /// Confidence level of every interval, between 0 and 1.
    pub level: f64,
}

impl Default for PoolOptions {
    fn default() -> Self {
        Self {
            between: BetweenVariance::default(),
            interval: IntervalMethod::default(),
            level: 0.95,
        }
    }
}

impl PoolOptions {
    pub(super) fn check(&self) -> Result<(), Error> {
        open_share("confidence level", self.level)
    }
}

/// Smallest and largest standard error, and largest effect, that are worked with: squares of squares must stay numbers. No ratio
/// that a computer holds has a log beyond a thousand.
pub(super) const SIZES: (f64, f64) = (1e-30, 1e30);

/// Refuses effects that cannot be pooled, and none at all.
pub(super) fn check(effects: &[Effect]) -> Result<(), Error> {
    if effects.is_empty() {
        return Err(Error::new(
            "effects",
            "no trial",
            "pooling needs at least one trial with an effect",
            "add trials, or pool their counts where arms are empty",
        ));
    }
    for (at, effect) in effects.iter().enumerate() {
        let trial = at + 1;
        if effect.estimate.is_nan() || effect.estimate.abs() > SIZES.1 {
            return Err(Error::new(
                format!("effect of trial {trial}"),
                format!("{}", effect.estimate),
                "an effect must be a number; that of an empty arm is infinite and has none",
                "leave the trial out, or pool its counts",
            ));
        }
        if !(SIZES.0..=SIZES.1).contains(&effect.standard_error) {
            return Err(Error::new(
                format!("standard error of trial {trial}"),
                format!("{}", effect.standard_error),
                format!(
                    "a standard error must lie between {:e} and {:e}",
                    SIZES.0, SIZES.1
                ),
                "leave the trial out, or pool its counts",
            ));
        }
        if effect
            .degrees_of_freedom
            .is_some_and(|df| df.is_nan() || df <= 0.0)
        {
            return Err(Error::new(
                format!("degrees of freedom of trial {trial}"),
                format!("{:?}", effect.degrees_of_freedom),
                "degrees of freedom must be above 0, or absent where the standard error is known",
                "leave the trial out: without degrees of freedom its error is unknown",
            ));
        }
    }
    Ok(())
}
