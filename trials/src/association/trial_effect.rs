//! One method in one trial: the ratio that was judged, how sure it is, and what tells the trial from others.

use std::collections::BTreeMap;

use halfgreen_analysis::comparison::{Better, Call};
use serde::{Deserialize, Serialize};

/// What a method did in one trial, on the log scale, with what pooling must know of it.
///
/// *Units.* `effect` and `se` are natural logarithms of the ratio of mean counts, treatment to control; `low` and `high` are
/// ratios; exposures are square metres, or samples where no area is known.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct TrialEffect {
    /// What the trial is called.
    pub trial: String,
    /// Whose it is; the trial itself where no club is named.
    pub club: String,
    /// Year of the counts that were judged.
    pub season: Option<i16>,
    /// Code of the method.
    pub treatment: String,
    /// Its name for people.
    pub name: String,
    /// Sort of method, as a protocol words it.
    pub kind: Option<String>,
    /// Code of what it was compared with.
    pub control: String,
    /// What was counted.
    pub counted: Option<String>,
    /// Which direction is good.
    pub better: Better,
    /// Natural logarithm of the ratio of means; absent where an arm holds nothing.
    pub effect: Option<f64>,
    /// Its standard error, see [`trial_effects`](super::trial_effects); absent where none can be had.
    pub se: Option<f64>,
    /// Degrees of freedom of the standard error; absent where it is taken as known.
    pub degrees_of_freedom: Option<f64>,
    /// Lower limit of the ratio; absent where it is only what holds for any scatter whatever.
    pub low: Option<f64>,
    /// Upper limit of the ratio; absent likewise.
    pub high: Option<f64>,
    /// Plots compared, all treatments together.
    pub plots: Option<usize>,
    /// Blocks; 0 without any.
    pub blocks: Option<usize>,
    /// Plots of the method.
    pub treated_plots: Option<usize>,
    /// Plots of the control.
    pub control_plots: Option<usize>,
    /// Animals found in plots of the method.
    pub treated_count: Option<u64>,
    /// Animals found in plots of the control.
    pub control_count: Option<u64>,
    /// What was searched for the first.
    pub treated_exposure: Option<f64>,
    /// What was searched for the second.
    pub control_exposure: Option<f64>,
    /// k of a plot's count; absent where it scatters no more than Poisson or is not known.
    pub k: Option<f64>,
    /// Whether nothing was found in one of the two.
    pub zero_arm: bool,
    /// The verdict of the trial by itself.
    pub call: Option<Call>,
    /// What else is known of the trial, by name: soil, month, wetness.
    pub moderators: BTreeMap<String, String>,
    /// The folder, or the file and line, that all this comes from.
    pub source: String,
    /// SHA-256 of the plots with their treatments and counts: by it the same trial is known when it comes twice.
    pub digest: Option<String>,
}

/// What a judgement does not hold of its trial.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct TrialFacts {
    /// What the trial is called.
    pub trial: String,
    /// Whose it is, where that is known.
    pub club: Option<String>,
    /// Year of the counts that were judged.
    pub season: Option<i16>,
    /// Names of treatments for people, by their codes.
    pub names: BTreeMap<String, String>,
    /// Sorts of method, by their codes.
    pub kinds: BTreeMap<String, String>,
    /// What else is known.
    pub moderators: BTreeMap<String, String>,
    /// Where it all comes from.
    pub source: String,
}
