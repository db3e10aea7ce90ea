//! Assurance: power averaged over the uncertainty of the site's parameters.
//!
//! Eight plots say little about k. Power at the estimate alone flatters; assurance averages the power
//! over k, block spread and mean drawn from their joint uncertainty, normal on the log scale
//! (A. O'Hagan, J. W. Stevens and M. J. Campbell, "Assurance in clinical trial design", Pharmaceutical
//! Statistics 4, 2005, 187-201). Several past trials are pooled with a variance between trials
//! (R. `DerSimonian` and N. Laird, "Meta-analysis in clinical trials", Controlled Clinical Trials 7,
//! 1986, 177-188), and the next trial is drawn from where a further one may fall.

use rand_distr::{Distribution as _, StandardNormal};
use serde::Serialize;

use super::simulated::SiteParameters;
use crate::Error;
use crate::distributions::normal_quantile;
use crate::error::{above_zero, open_share};
use crate::random::Generator;
use crate::results::Estimate;

/// Uncertainty of the site's parameters. Each estimate is of a logarithm, with its standard error.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct ParameterUncertainty {
    /// log of the mean per sample.
    pub ln_mean: Estimate,
    /// log of k between plots; a value of infinity leaves plots alike.
    pub ln_k_plot: Estimate,
    /// log of k between samples; a value of infinity makes samples Poisson.
    pub ln_k_sample: Estimate,
    /// log of the block standard deviation; minus infinity for blocks alike.
    pub ln_block_sd: Estimate,
    /// Correlation of the estimates of log k between plots and log block spread.
    pub correlation: f64,
    /// Chance that a plot is lost.
    pub missing: f64,
}

/// Draws beyond this many standard errors are held there: a k known so badly that its log wanders
/// further would otherwise give means that no site has.
const FARTHEST: f64 = 4.0;

impl ParameterUncertainty {
    /// Parameters known without error.
    #[must_use]
    pub fn certain(site: &SiteParameters) -> Self {
        let sure = |value: f64| Estimate {
            value: value.ln(),
            se: 0.0,
        };
        Self {
            ln_mean: sure(site.mean),
            ln_k_plot: sure(site.k_plot),
            ln_k_sample: sure(site.k_sample),
            ln_block_sd: sure(site.block_sd),
            correlation: 0.0,
            missing: site.missing,
        }
    }

    /// The parameters at the estimates themselves.
    #[must_use]
    pub fn centre(&self) -> SiteParameters {
        SiteParameters {
            mean: self.ln_mean.value.exp(),
            k_sample: self.ln_k_sample.value.exp(),
            k_plot: self.ln_k_plot.value.exp(),
            block_sd: self.ln_block_sd.value.exp(),
            missing: self.missing,
        }
    }

    /// Refuses estimates from which nothing can be drawn.
    ///
    /// # Errors
    /// A standard error that is negative or not finite, a correlation outside [-1, 1], or a centre
    /// that no site has.
    pub fn check(&self) -> Result<(), Error> {
        for (what, known) in [
            ("log mean", self.ln_mean),
            ("log k between plots", self.ln_k_plot),
            ("log k between samples", self.ln_k_sample),
            ("log block spread", self.ln_block_sd),
        ] {
            if !(known.se.is_finite() && known.se >= 0.0) {
                return Err(Error::new(
                    format!("standard error of the {what}"),
                    format!("{}", known.se),
                    "a standard error is a finite number from 0",
                    "give a range instead, or take the value as certain",
                ));
            }
        }
        if !(-1.0..=1.0).contains(&self.correlation) {
            return Err(Error::new(
                "correlation of log k and log block spread",
                format!("{}", self.correlation),
                "a correlation lies between -1 and 1",
                "give 0 when it is not known",
            ));
        }
        self.centre().check()
    }

    /// Draws parameters. The number of draws from the stream is always the same.
    #[must_use]
    pub fn draw(&self, generator: &mut Generator) -> SiteParameters {
        let mut z = || {
            let z: f64 = StandardNormal.sample(generator);
            z.clamp(-FARTHEST, FARTHEST)
        };
        let (mean, plot, sample, own) = (z(), z(), z(), z());
        let r = self.correlation;
        let block = r * plot + (1.0 - r * r).max(0.0).sqrt() * own;
        let at = |known: Estimate, z: f64| (known.value + known.se * z).exp();
        SiteParameters {
            mean: at(self.ln_mean, mean),
            k_sample: at(self.ln_k_sample, sample),
            k_plot: at(self.ln_k_plot, plot),
            block_sd: at(self.ln_block_sd, block),
            missing: self.missing,
        }
    }
}

/// Several estimates of one logarithm pooled into where that of a next trial may fall.
///
/// The standard error is that of prediction: sqrt(se of the pooled mean^2 + variance between trials).
/// One estimate comes back as it is, without a between-trial part, which one trial cannot show.
///
/// # Errors
/// No estimates, or one with a standard error that is not above 0 and finite.
pub fn pool(known: &[Estimate]) -> Result<Estimate, Error> {
    above_zero("past trials", known.len() as f64, false)?;
    for estimate in known {
        above_zero("standard error of a past trial", estimate.se, false)?;
    }
    if let [only] = known {
        return Ok(*only);
    }
    let fixed: Vec<f64> = known.iter().map(|e| e.se.powi(-2)).collect();
    let total: f64 = fixed.iter().sum();
    let centre = weighted(known, &fixed);
    let q: f64 = known
        .iter()
        .zip(&fixed)
        .map(|(e, w)| w * (e.value - centre).powi(2))
        .sum();
    let squares: f64 = fixed.iter().map(|w| w * w).sum();
    let spread = ((q - (known.len() - 1) as f64) / (total - squares / total)).max(0.0);
    let weights: Vec<f64> = known.iter().map(|e| 1.0 / (e.se * e.se + spread)).collect();
    let se2 = 1.0 / weights.iter().sum::<f64>();
    Ok(Estimate {
        value: weighted(known, &weights),
        se: (se2 + spread).sqrt(),
    })
}

fn weighted(known: &[Estimate], weights: &[f64]) -> f64 {
    let total: f64 = weights.iter().sum();
    known
        .iter()
        .zip(weights)
        .map(|(e, w)| w * e.value)
        .sum::<f64>()
        / total
}

/// The logarithm of a quantity said to lie between `low` and `high` with chance `level`.
///
/// # Errors
/// Limits that are not above 0 or are out of order; a level outside (0, 1).
pub fn from_range(low: f64, high: f64, level: f64) -> Result<Estimate, Error> {
    above_zero("lower limit of the range", low, false)?;
    above_zero("upper limit of the range", high, false)?;
    open_share("chance of the range", level)?;
    if low > high {
        return Err(Error::new(
            "range",
            format!("{low} to {high}"),
            "the lower limit comes first",
            "swap the limits",
        ));
    }
    let z = normal_quantile(0.5 + 0.5 * level);
    Ok(Estimate {
        value: 0.5 * (low.ln() + high.ln()),
        se: 0.5 * (high.ln() - low.ln()) / z,
    })
}

/// An estimate with its standard error moved to the log scale (delta method: se / value).
///
/// # Errors
/// A value not above 0. A standard error of infinity, as at the Poisson limit, is refused: give a range.
pub fn on_log_scale(estimate: Estimate) -> Result<Estimate, Error> {
    above_zero("estimate", estimate.value, false)?;
    if !(estimate.se.is_finite() && estimate.se >= 0.0) {
        return Err(Error::new(
            "standard error",
            format!("{}", estimate.se),
            "the trial must bound the quantity",
            "give a range for it instead",
        ));
    }
    Ok(Estimate {
        value: estimate.value.ln(),
        se: estimate.se / estimate.value,
    })
}
