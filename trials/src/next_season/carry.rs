//! What past trials teach: from their results to knowledge of the ground.
//!
//! A trial's fit tells k of plot totals, not how much of the clumping lies within plots. All of it is
//! taken to lie between plots, so that further cores promise nothing that the trial did not show.

use halfgreen_analysis::power::assurance::{ParameterUncertainty, on_log_scale, pool};
use halfgreen_analysis::results::Estimate;
use serde::Serialize;
use serde_json::Value;

use crate::Error;

/// What one past trial says of its ground.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct PastTrial {
    /// Mean per core in its control plots.
    pub mean: f64,
    /// Standard error of that mean, where known.
    pub mean_se: Option<f64>,
    /// k of its plots, with its standard error (infinite where counts did not bound it).
    pub k: Estimate,
    /// Standard deviation of its log block means, with its standard error.
    pub block_sd: Option<Estimate>,
}

/// Reads the `result` of a judged trial: k and block spread of the model with random ground where they are
/// there (`dispersion`), else of the plain one (`model`), and the control's mean. `core_area_m2` turns a
/// mean per square metre into one per core. `file` is named in errors.
///
/// # Errors
/// Text that is not a trial's results, results without k or a mean, a mean per square metre without the
/// core's area.
pub fn read_results(file: &str, text: &str, core_area_m2: Option<f64>) -> Result<PastTrial, Error> {
    let whole: Value = serde_json::from_str(text).map_err(|inner| {
        Error::new(
            format!("{file}:{}:{}", inner.line(), inner.column()),
            "this is not a trial's results",
            "Judge the trial again to write them anew.",
        )
    })?;
    let result = whole.get("result").unwrap_or(&whole);
    let number = |path: &str| result.pointer(path).and_then(Value::as_f64);
    let missing = |what: &str| {
        Error::new(
            file,
            format!("the results hold no {what}"),
            "Judge the trial again, or give the figures with --k and --mean.",
        )
    };
    let found = result
        .pointer("/dispersion/k")
        .or(result.pointer("/model/k"));
    // The key is there and null when the counts are no more clumped than Poisson.
    let k = found
        .ok_or_else(|| missing("k"))?
        .as_f64()
        .unwrap_or(f64::INFINITY);
    let per_core = match (result.pointer("/per").and_then(Value::as_str), core_area_m2) {
        (Some("m2"), Some(area)) => area,
        (Some("m2"), None) => {
            let what = "its means are per square metre, and the area of a core is not known";
            return Err(Error::new(file, what, "Give the trial's folder as well."));
        }
        _ => 1.0,
    };
    let control = result
        .pointer("/contrasts/0/control")
        .and_then(Value::as_str);
    let row = result
        .pointer("/means")
        .and_then(Value::as_array)
        .into_iter()
        .flatten()
        .find(|row| control.is_some() && row.get("treatment").and_then(Value::as_str) == control);
    let of = |key: &str| row.and_then(|r| r.get(key)).and_then(Value::as_f64);
    let mean = per_core * of("mean").ok_or_else(|| missing("mean of the control"))?;
    // The interval is read as one of 95 per cent, even on the log scale.
    let log_se = match (of("low"), of("high")) {
        (Some(low), Some(high)) if low > 0.0 => Some((high / low).ln() / (2.0 * 1.959964)),
        _ => None,
    };
    Ok(PastTrial {
        mean,
        mean_se: log_se.map(|se| se * mean),
        k: Estimate {
            value: k,
            se: log_error(number("/model/k"), number("/model/k_se")) * k,
        },
        block_sd: random_spread(result).or_else(|| block_spread(result)),
    })
}

/// Standard error of log k by the plain fit; infinite where that fit did not bound k.
fn log_error(k: Option<f64>, se: Option<f64>) -> f64 {
    match (k, se) {
        (Some(k), Some(se)) if k > 0.0 => se / k,
        _ => f64::INFINITY,
    }
}

/// Block spread of the model with random ground. Its error is at least that of a standard deviation from
/// as many normal values: 1 / sqrt(2 (blocks - 1)) of itself.
fn random_spread(result: &Value) -> Option<Estimate> {
    let value = result.pointer("/dispersion/block_sd/0")?.as_f64()?;
    let blocks = result.pointer("/units/blocks")?.as_f64()?;
    (value > 0.0 && blocks > 1.0).then(|| Estimate {
        value,
        se: value / (2.0 * (blocks - 1.0)).sqrt(),
    })
}

/// Spread of the block terms less what their own errors explain; the reference level stands at 0.
fn block_spread(result: &Value) -> Option<Estimate> {
    let terms = result.pointer("/model/coefficients")?.as_array()?;
    let blocks: Vec<(f64, f64)> = terms
        .iter()
        .filter(|t| {
            t.get("term")
                .and_then(Value::as_str)
                .is_some_and(|n| n.starts_with("block["))
        })
        .filter_map(|t| Some((t.get("estimate")?.as_f64()?, t.get("se")?.as_f64()?)))
        .collect();
    if blocks.is_empty() {
        return None;
    }
    let n = (blocks.len() + 1) as f64;
    let mean = blocks.iter().map(|b| b.0).sum::<f64>() / n;
    let squares = mean * mean + blocks.iter().map(|b| (b.0 - mean).powi(2)).sum::<f64>();
    // The error of a difference of two blocks has twice the variance of one block's.
    let error = blocks.iter().map(|b| b.1 * b.1).sum::<f64>() / (2.0 * blocks.len() as f64);
    let variance = squares / (n - 1.0) - error;
    let whole = squares / (n - 1.0);
    (variance > 0.0).then(|| Estimate {
        value: variance.sqrt(),
        // Sampling error of a variance on n - 1 degrees of freedom, halved for its root.
        se: 0.5 * whole * (2.0 / (n - 1.0)).sqrt() / variance.sqrt(),
    })
}

/// Log-scale standard error of what a trial could not bound: a factor of e either way.
const UNBOUNDED: f64 = 1.0;

/// Knowledge of the next ground from past trials. Trials that found no clumping say nothing of k beyond
/// that; when all did, plots are taken as Poisson.
///
/// # Errors
/// No trials, or a trial whose figures are not above 0.
pub fn from_past(trials: &[PastTrial], missing: f64) -> Result<ParameterUncertainty, Error> {
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
