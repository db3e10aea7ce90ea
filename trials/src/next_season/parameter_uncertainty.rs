//! What past trials teach: from their results to the parameters of the next site and their uncertainty.
//!
//! A trial's fit tells k of plot totals, not how much of the clumping lies within plots. All of it is
//! taken to lie between plots, so that further cores promise nothing that the trial did not show.

use halfgreen_analysis::power::assurance::{ParameterUncertainty, on_log_scale, pool};
use halfgreen_analysis::results::Estimate;

use super::past_trial::PastTrial;
use crate::Error;

/// Log-scale standard error of what a trial could not bound: a factor of e either way.
const UNBOUNDED: f64 = 1.0;

/// Parameters of the next site from past trials. Trials that found no clumping say nothing of k beyond
/// that; when all did, plots are taken as Poisson.
///
/// # Errors
/// No trials, a trial that found nothing in its control plots, or one whose figures are not above 0.
pub fn from_past(trials: &[PastTrial], missing: f64) -> Result<ParameterUncertainty, Error> {
    if trials.iter().any(|t| t.mean == 0.0) {
        let what = "nothing was found in the plots of the control, so that nobody can say how the animals scatter";
        let cure = "Ask again where there are some, or give figures of other ground (--k and --mean of `next`).";
        return Err(Error::new("counts", what, cure));
    }
    let doubt = |e: Estimate| -> Result<Estimate, Error> {
        if e.se.is_finite() && e.se > 0.0 {
            return Ok(on_log_scale(e)?);
        }
        Ok(Estimate {
            value: e.value.ln(),
            se: UNBOUNDED,
        })
    };
    let known = trials
        .iter()
        .filter(|t| t.k.value.is_finite())
        .map(|t| doubt(t.k))
        .collect::<Result<Vec<_>, _>>()?;
    let ln_k_plot = if known.is_empty() {
        Estimate {
            value: f64::INFINITY,
            se: 0.0,
        }
    } else {
        pool(&known)?
    };
    let spreads = trials
        .iter()
        .filter_map(|t| t.block_sd)
        .map(doubt)
        .collect::<Result<Vec<_>, _>>()?;
    let ln_block_sd = if spreads.is_empty() {
        Estimate {
            value: f64::NEG_INFINITY,
            se: 0.0,
        }
    } else {
        pool(&spreads)?
    };
    let means = trials
        .iter()
        .map(|t| {
            doubt(Estimate {
                value: t.mean,
                se: t.mean_se.unwrap_or(f64::INFINITY),
            })
        })
        .collect::<Result<Vec<_>, _>>()?;
    Ok(ParameterUncertainty {
        ln_mean: pool(&means)?,
        ln_k_plot,
        ln_k_sample: Estimate {
            value: f64::INFINITY,
            se: 0.0,
        },
        ln_block_sd,
        correlation: 0.0,
        missing,
    })
}
