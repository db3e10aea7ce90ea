//! What came of a trial, kept until all trials are done.

use serde::{Deserialize, Serialize};

use super::{LeftOutTrial, TrialKey};
use crate::association::TrialEffect;
use crate::next_season::past_trial::PastTrial;

/// A trial that was judged, or could not be.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Outcome {
    /// The trial.
    #[serde(flatten)]
    pub key: TrialKey,
    /// What the answer follows from: it holds while this is so.
    pub state: String,
    /// The answer.
    #[serde(flatten)]
    pub finding: Finding,
}

/// The answer of a trial.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Finding {
    /// One effect for each method, and what the trial teaches of its ground.
    Judged {
        /// The effects.
        effects: Vec<TrialEffect>,
        /// Mean, k and block spread.
        ground: Option<Ground>,
    },
    /// Why there is none.
    LeftOut(LeftOutTrial),
}

/// A figure with its standard error.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Known {
    /// The figure.
    pub value: f64,
    /// Its standard error; absent where the counts did not bound it.
    pub se: Option<f64>,
}

/// What a trial teaches of its ground, for the size of the next one.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Ground {
    /// Mean of the control per core, or per square metre where areas are known.
    pub mean: Known,
    /// k of a plot's count; absent where it scatters no more than Poisson.
    pub k: Option<Known>,
    /// Standard deviation of the log block means.
    pub block_sd: Option<Known>,
}

fn known(value: f64, se: f64) -> Known {
    Known {
        value,
        se: Some(se).filter(|se| se.is_finite()),
    }
}

impl From<&PastTrial> for Ground {
    fn from(past: &PastTrial) -> Self {
        Self {
            mean: known(past.mean, past.mean_se.unwrap_or(f64::INFINITY)),
            k: Some(past.k)
                .filter(|k| k.value.is_finite())
                .map(|k| known(k.value, k.se)),
            block_sd: past.block_sd.map(|sd| known(sd.value, sd.se)),
        }
    }
}
