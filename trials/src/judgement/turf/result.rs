//! What judging readings gives back, with the keys that programs read.

use halfgreen_analysis::comparison::Call;
use serde::Serialize;

use super::super::sentence::Sentence;
use super::judged::Response;
use crate::trial_data::AllocationCount;

/// Readings judged.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct TurfJudgement {
    /// Kind of response.
    pub response: Response,
    /// Plots compared.
    pub plots: usize,
    /// Mean of the plots of every treatment, the control first.
    pub means: Vec<TurfMean>,
    /// Each method against the control.
    pub effect: Vec<EffectRow>,
    /// Plots that were laid out or listed and have no reading.
    pub missing: Vec<String>,
    /// Each plot that was compared.
    pub readings: Vec<PlotReading>,
    /// Allocations the design could have given, in full.
    pub allocations: AllocationCount,
    /// Error rate over all methods together.
    pub alpha: f64,
}

/// The reading of one plot, its places averaged.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PlotReading {
    /// Plot.
    pub plot: String,
    /// Treatment it was drawn to get.
    pub treatment: String,
    /// Block, where there are blocks.
    pub block: Option<String>,
    /// Mean of its readings; inside less outside where an edge is read.
    pub reading: f64,
}

/// Mean reading under a treatment.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct TurfMean {
    /// Treatment.
    pub treatment: String,
    /// Mean of its plots.
    pub mean: f64,
}

/// A ratio to the control with its limits.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct RatioRow {
    /// The ratio.
    pub estimate: f64,
    /// Lower limit; null where the design can rule out none.
    pub low: Option<f64>,
    /// Upper limit.
    pub high: Option<f64>,
}

/// A method against the control.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct EffectRow {
    /// Method.
    pub treatment: String,
    /// Control.
    pub control: String,
    /// Difference, method less control, in the unit of the reading.
    pub difference: f64,
    /// Lower limit of the differences that are not ruled out; null where the design can rule out none.
    pub low: Option<f64>,
    /// Upper limit.
    pub high: Option<f64>,
    /// Estimate that one odd plot cannot move far.
    pub hodges_lehmann: f64,
    /// Ratio to the control with its limits, for lengths above 0.
    pub ratio: Option<RatioRow>,
    /// p of the randomisation test alone.
    pub p: f64,
    /// Adjusted for several methods.
    pub p_adjusted: f64,
    /// Smallest p the design could give.
    pub smallest_p: f64,
    /// Chance that a plot of the method has the higher reading than one of the control.
    pub superiority: f64,
    /// The call.
    pub call: Call,
    /// In plain words.
    pub sentence: Sentence,
}
