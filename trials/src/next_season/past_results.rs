//! A past trial from the results that `judge` kept on the disk.
//!
//! Results of earlier releases are read with what they hold, and what they lack is said.

use halfgreen_analysis::comparison::{Call, Relevance};
use serde::{Deserialize, Serialize};
use serde_json::Value;

use super::follows::Outcome;
use super::past_trial::{BlockEffect, Figures, Mean, PastTrial};
use crate::ranges::protocol::ALPHA;
use crate::{Error, Warning};

/// What is read of the results; the rest of their keys is left alone.
#[derive(Debug, Deserialize)]
struct Results {
    alpha: Option<f64>,
    per: Option<String>,
    dispersion: Option<Dispersion>,
    model: Option<Model>,
    units: Option<Units>,
    #[serde(default)]
    means: Vec<MeanRow>,
    #[serde(default)]
    contrasts: Vec<Contrast>,
    #[serde(default)]
    verdicts: Vec<Verdict>,
}

#[derive(Debug, Deserialize)]
struct Dispersion {
    /// Null where counts scatter no more than Poisson.
    k: Option<f64>,
    #[serde(default)]
    block_sd: Vec<f64>,
}

#[derive(Debug, Deserialize)]
struct Model {
    k: Option<f64>,
    k_se: Option<f64>,
    #[serde(default)]
    coefficients: Vec<Coefficient>,
}

#[derive(Debug, Deserialize)]
struct Coefficient {
    term: String,
    estimate: Option<f64>,
    se: Option<f64>,
}

#[derive(Debug, Deserialize)]
struct Units {
    blocks: usize,
}

#[derive(Debug, Deserialize)]
struct MeanRow {
    treatment: String,
    mean: Option<f64>,
    low: Option<f64>,
    high: Option<f64>,
}

#[derive(Debug, Deserialize)]
struct Contrast {
    control: String,
}

#[derive(Debug, Deserialize)]
struct Verdict {
    treatment: String,
    call: String,
    relevance: Option<String>,
}

/// What results that were kept say.
#[derive(Debug, Clone, PartialEq)]
pub struct Kept {
    /// Of the ground.
    pub trial: PastTrial,
    /// Of each method.
    pub outcomes: Vec<Outcome>,
}

impl Verdict {
    /// The verdict, where its words are known.
    fn outcome(&self) -> Option<Outcome> {
        let calls = [
            Call::BeatTheControl,
            Call::DidWorse,
            Call::TooSmallToMatter,
            Call::CannotTell,
        ];
        let relevances = [
            Relevance::Established,
            Relevance::Undecided,
            Relevance::Excluded,
        ];
        let word = self.relevance.as_deref().unwrap_or("undecided");
        Some(Outcome {
            treatment: self.treatment.clone(),
            call: calls.into_iter().find(|call| is(call, &self.call))?,
            relevance: relevances
                .into_iter()
                .find(|relevance| is(relevance, word))?,
        })
    }
}

/// Whether a value is written as this word.
fn is(value: &impl Serialize, word: &str) -> bool {
    serde_json::to_value(value).is_ok_and(|written| written == word)
}

/// Error rate of results that hold none: the usual one.
const USUAL_ALPHA: f64 = 0.05;

/// Reads the results of a judged trial. `core_area_m2` turns a mean per square metre into one per core; `file` is
/// named in errors.
///
/// # Errors
/// Text that is not a trial's results, results without k or a mean, an error rate that is none, a mean per square metre without
/// the core's area.
pub fn read_results(
    file: &str,
    text: &str,
    core_area_m2: Option<f64>,
) -> Result<(Kept, Vec<Warning>), Error> {
    let results = parse(file, text)?;
    let missing = |what: &str| {
        Error::new(
            file,
            format!("the results hold no {what}"),
            "Judge the trial again, or give the figures with --k and --mean.",
        )
    };
    let mut lacking = Vec::new();
    let (model, dispersion) = (results.model.as_ref(), results.dispersion.as_ref());
    let k = match (dispersion, model) {
        (Some(dispersion), _) => dispersion.k,
        (None, Some(model)) => {
            lacking.push("no model with random blocks, so that k is that of the plain fit");
            model.k
        }
        (None, None) => return Err(missing("k")),
    };
    let row = results.contrasts.first().and_then(|c| {
        let mut rows = results.means.iter();
        let row = rows.find(|row| row.treatment == c.control)?;
        Some((row, row.mean?))
    });
    let (row, mean) = row.ok_or_else(|| missing("mean of the control"))?;
    let alpha = results.alpha.unwrap_or_else(|| {
        lacking.push("no error rate, so that its intervals are taken as those of 95 per cent");
        USUAL_ALPHA
    });
    if !ALPHA.holds(alpha) {
        let what = format!("their error rate: {}", ALPHA.fault(&alpha.to_string()));
        let cure = "Judge the trial again to write them anew.";
        return Err(Error::new(file, what, cure));
    }
    let past = PastTrial::from_figures(&Figures {
        k,
        plain_k: model.and_then(|m| m.k),
        plain_k_se: model.and_then(|m| m.k_se),
        blocks: results.units.map_or(0, |u| u.blocks),
        block_sd: dispersion.and_then(|d| d.block_sd.first().copied()),
        block_effects: model.map_or(Vec::new(), block_effects),
        control: Mean {
            value: mean,
            low: row.low,
            high: row.high,
            level: 1.0 - alpha,
        },
        core: core(file, results.per.as_deref(), core_area_m2)?,
    });
    let said = lacking.into_iter().map(|lack| {
        let message = format!("the results hold {lack}; judging the trial again would mend it");
        Warning::at("older-results", message, file)
    });
    let outcomes = results.verdicts.iter().filter_map(Verdict::outcome);
    let kept = Kept {
        trial: past,
        outcomes: outcomes.collect(),
    };
    Ok((kept, said.collect()))
}

/// The `result` of a document of `judge`, or a result alone.
fn parse(file: &str, text: &str) -> Result<Results, Error> {
    let refused = |place: String, what: String| {
        Error::new(place, what, "Judge the trial again to write them anew.")
    };
    let mut document: Value = serde_json::from_str(text).map_err(|inner| {
        let place = format!("{file}:{}:{}", inner.line(), inner.column());
        refused(place, "this is not a trial's results".to_owned())
    })?;
    let result = match document.get_mut("result") {
        Some(result) => result.take(),
        None => document,
    };
    serde_json::from_value(result).map_err(|inner| {
        let what = format!("these results hold something else than a trial's ({inner})");
        refused(file.to_owned(), what)
    })
}

/// The plain fit's blocks: their terms are named `block[...]`.
fn block_effects(model: &Model) -> Vec<BlockEffect> {
    let blocks = model.coefficients.iter();
    blocks
        .filter(|c| c.term.starts_with("block["))
        .filter_map(|c| {
            Some(BlockEffect {
                estimate: c.estimate?,
                se: c.se?,
            })
        })
        .collect()
}

/// Area of a core in the unit of the means.
fn core(file: &str, per: Option<&str>, core_area_m2: Option<f64>) -> Result<f64, Error> {
    match (per, core_area_m2) {
        (Some("m2"), Some(area)) => Ok(area),
        (Some("m2"), None) => {
            let what = "its means are per square metre, and the area of a core is not known";
            Err(Error::new(file, what, "Give the trial's folder as well."))
        }
        _ => Ok(1.0),
    }
}
