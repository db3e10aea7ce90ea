//! What is known of the ground: past trials first, then what the request says instead.

use halfgreen_analysis::power::assurance::{ParameterUncertainty, from_range};
use halfgreen_analysis::power::simulated::SiteParameters;
use halfgreen_analysis::results::Estimate;

use super::Request;
use crate::next_season::parameter_uncertainty::from_past;
use crate::next_season::past_trial::PastTrial;
use crate::{Error, Warning};

/// Spread of log block means where nothing is known: blocks then differ by about half. An assumption.
const BLOCK_SD: f64 = 0.4;

/// Past trials first; a number on the command line overrides what they say.
pub(super) fn knowledge(
    request: &Request,
    past: &[PastTrial],
    warnings: &mut Vec<Warning>,
) -> Result<ParameterUncertainty, Error> {
    // Figures of other ground stand in for a trial that found nothing.
    let told = request.mean.is_some() && (request.k.is_some() || request.k_range.is_some());
    let mut known = if past.is_empty() || (told && past.iter().all(|t| t.mean == 0.0)) {
        let needed = |value: Option<f64>, field: &str| {
            value.ok_or_else(|| {
                let cure = "Give it, or the folder of a judged trial.";
                Error::in_field(
                    field,
                    "it is not given, and there is no past trial to take it from",
                    cure,
                )
            })
        };
        let k_core = match request.k_range {
            Some(_) => f64::INFINITY,
            None => needed(request.k, "k")?,
        };
        if request.block_sd.is_none() {
            warnings.push(Warning {
                code: "block-spread-assumed",
                message: format!("Blocks are taken to differ with a log standard deviation of {BLOCK_SD}; --block-sd says otherwise."),
                place: None,
            });
        }
        if request.k_plot.is_none() && request.cores != [1] {
            warnings.push(Warning {
                code: "clumps-within-plots",
                message: "k is taken as that of cores, with clumps smaller than a plot: further cores then help. If whole \
                          plots differ, --k-plot says how much."
                    .to_owned(),
                place: None,
            });
        }
        let ground = SiteParameters {
            mean: needed(request.mean, "mean")?,
            k_sample: k_core,
            k_plot: f64::INFINITY,
            block_sd: BLOCK_SD,
            missing: request.missing,
        };
        ParameterUncertainty::certain(&ground)
    } else {
        from_past(past, request.missing)?
    };
    let sure = |value: f64| Estimate {
        value: value.ln(),
        se: 0.0,
    };
    if let Some(mean) = request.mean {
        known.ln_mean = sure(mean);
    }
    if let Some(k) = request.k {
        known.ln_k_sample = sure(k);
        known.ln_k_plot = sure(f64::INFINITY);
    }
    if let Some((low, high)) = request.k_range {
        known.ln_k_sample = from_range(low, high, 0.9)?;
        known.ln_k_plot = sure(f64::INFINITY);
    }
    if let Some(k) = request.k_plot {
        known.ln_k_plot = sure(k);
    }
    if let Some(sd) = request.block_sd {
        known.ln_block_sd = sure(sd);
    }
    Ok(known)
}
