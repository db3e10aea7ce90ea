//! Sample size of a survey: samples for a stated precision of the mean.
//!
//! With n samples the mean's standard error is sqrt(variance / n), so n = (z / D)^2 variance / mean^2
//! (M. G. Karandinos, "Optimum sample size and comments on some published formulae", Bulletin of the
//! Entomological Society of America 22, 1976, 417-421). D is either the standard error over the mean
//! (z = 1) or the half-width of an interval over the mean (z its normal quantile): [`Precision`] says
//! which. Variance laws: Poisson, negative binomial, Taylor's power law, Iwao's regression.

use serde::Serialize;

use crate::Error;
use crate::distributions::normal_quantile;
use crate::error::{above_zero, open_share};

/// How the variance of a sample's count follows its mean.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum VarianceLaw {
    /// Variance = mean.
    Poisson,
    /// Variance = m + m^2 / k.
    NegativeBinomial {
        /// Negative binomial k.
        k: f64,
    },
    /// Taylor: variance = a m^b.
    Taylor {
        /// Factor.
        a: f64,
        /// Power.
        b: f64,
    },
    /// Iwao: variance = (alpha + 1) m + (beta - 1) m^2.
    Iwao {
        /// Mean crowding of the rarest population.
        alpha: f64,
        /// Slope of mean crowding on the mean.
        beta: f64,
    },
}

impl VarianceLaw {
    /// Variance of one sample's count at mean `mean`.
    #[must_use]
    pub fn variance(&self, mean: f64) -> f64 {
        match *self {
            Self::Poisson => mean,
            Self::NegativeBinomial { k } => mean + mean * mean / k,
            Self::Taylor { a, b } => a * mean.powf(b),
            Self::Iwao { alpha, beta } => (alpha + 1.0) * mean + (beta - 1.0) * mean * mean,
        }
    }

    /// The k of a negative binomial with this variance at this mean; infinite where the law is no
    /// more variable than Poisson.
    #[must_use]
    pub fn k_at(&self, mean: f64) -> f64 {
        match *self {
            Self::Poisson => f64::INFINITY,
            Self::NegativeBinomial { k } => k,
            _ => {
                let excess = self.variance(mean) - mean;
                if excess > 0.0 {
                    mean * mean / excess
                } else {
                    f64::INFINITY
                }
            }
        }
    }

    /// Refuses parameters that give no variance.
    ///
    /// # Errors
    /// k or Taylor's a not above 0; a power or slope that is not a number; Iwao's alpha below -1.
    pub fn check(&self) -> Result<(), Error> {
        match *self {
            Self::Poisson => Ok(()),
            Self::NegativeBinomial { k } => above_zero("k", k, true),
            Self::Taylor { a, b } => {
                above_zero("Taylor's a", a, false)?;
                above_zero("Taylor's b", b, false)
            }
            Self::Iwao { alpha, beta } => {
                above_zero("Iwao's alpha + 1", alpha + 1.0, false)?;
                above_zero("Iwao's beta", beta, false)
            }
        }
    }
}

/// What D is measured as.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Precision {
    /// Standard error over the mean.
    StandardError(f64),
    /// Half-width of the interval over the mean.
    HalfWidth {
        /// Half-width over the mean.
        share: f64,
        /// Confidence, between 0 and 1.
        level: f64,
    },
}

impl Precision {
    /// The standard error over the mean that is meant.
    #[must_use]
    pub fn standard_error(&self) -> f64 {
        match *self {
            Self::StandardError(d) => d,
            Self::HalfWidth { share, level } => share / normal_quantile(0.5 + 0.5 * level),
        }
    }

    /// Refuses a precision that no survey has.
    ///
    /// # Errors
    /// A share not above 0, a level outside (0, 1).
    pub fn check(&self) -> Result<(), Error> {
        match *self {
            Self::StandardError(d) => above_zero("precision", d, false),
            Self::HalfWidth { share, level } => {
                above_zero("precision", share, false)?;
                open_share("confidence", level)
            }
        }
    }
}

/// Samples needed (not rounded) at mean `mean` per sample; with `places`, on a site that has room for
/// that many samples in all, so that taking most of them leaves little uncertainty.
///
/// Finite population correction: n falls to n / (1 + n / places) (W. G. Cochran, "Sampling Techniques", 3rd ed.
/// 1977, section 4.6 for a mean).
///
/// # Errors
/// A mean, places or precision not above 0; a law without variance.
pub fn sample_size(
    law: VarianceLaw,
    mean: f64,
    precision: Precision,
    places: Option<f64>,
) -> Result<f64, Error> {
    above_zero("mean per sample", mean, false)?;
    law.check()?;
    precision.check()?;
    let variance = law.variance(mean);
    above_zero("variance of a sample's count", variance, false)?;
    let n = variance / (mean * precision.standard_error()).powi(2);
    match places {
        None => Ok(n),
        Some(places) => {
            above_zero("places for a sample", places, false)?;
            Ok(n / (1.0 + n / places))
        }
    }
}

/// The standard error over the mean that `samples` samples give.
///
/// # Errors
/// As [`sample_size`].
pub fn precision_of(law: VarianceLaw, mean: f64, samples: f64) -> Result<f64, Error> {
    above_zero("mean per sample", mean, false)?;
    above_zero("samples", samples, false)?;
    law.check()?;
    Ok((law.variance(mean) / samples).sqrt() / mean)
}
