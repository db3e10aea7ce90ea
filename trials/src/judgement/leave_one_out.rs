//! Does a single plot carry the verdict?

use halfgreen_analysis::comparison::{Call, Contrast, EvaluatedContrast};
use halfgreen_analysis::diagnostics::CaseDeletion;
use serde::Serialize;

use super::diagnostic_words;
use super::tested_ratio::finite;
use crate::trial_data::TrialData;

/// The verdict on a method without each plot in turn.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct LeaveOneOut {
    /// Method.
    pub treatment: String,
    /// Smallest ratio.
    pub ratio_low: Option<f64>,
    /// Largest ratio.
    pub ratio_high: Option<f64>,
    /// Smallest p of the primary test.
    pub p_low: Option<f64>,
    /// Largest p of the primary test.
    pub p_high: Option<f64>,
    /// Plots without which the call is another one.
    pub influential_plots: Vec<InfluentialPlot>,
    /// Plots left out, one at a time; in large tables those that lie farthest from what was expected.
    pub deletions: usize,
    /// What that means.
    pub sentence: String,
}

/// A plot without which the call is another one.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct InfluentialPlot {
    /// The plot.
    pub plot: String,
    /// Plots left out with it.
    pub deleted_with: Vec<String>,
    /// The call without it.
    pub call: Call,
    /// The ratio without it.
    pub ratio: Option<f64>,
    /// p of the primary test without it.
    pub p: f64,
}

/// The verdict on method `at`, whose comparison with every plot is `whole`, without each plot.
pub(super) fn of_method(
    data: &TrialData,
    at: usize,
    whole: &Contrast,
    left_out: &[CaseDeletion],
) -> LeaveOneOut {
    let name = |plot: usize| data.plots[plot].plot.clone();
    let rest: Vec<(&CaseDeletion, &EvaluatedContrast)> = left_out
        .iter()
        .filter_map(|l| Some((l, l.contrasts.as_ref()?.get(at)?)))
        .collect();
    let range = |values: Vec<f64>| {
        let low = values.iter().copied().fold(f64::INFINITY, f64::min);
        let high = values.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        (finite(low), finite(high))
    };
    let (ratio_low, ratio_high) = range(rest.iter().filter_map(|(_, c)| c.ratio).collect());
    let (p_low, p_high) = range(rest.iter().map(|(_, c)| c.p).collect());
    let influential_plots = rest
        .iter()
        .filter(|(_, c)| c.call != whole.call)
        .map(|(l, c)| InfluentialPlot {
            plot: name(l.plot),
            deleted_with: l
                .without
                .iter()
                .filter(|p| **p != l.plot)
                .map(|p| name(*p))
                .collect(),
            call: c.call,
            ratio: c.ratio.and_then(finite),
            p: c.p,
        })
        .collect();
    let mut out = LeaveOneOut {
        treatment: whole.treatment.clone(),
        ratio_low,
        ratio_high,
        p_low,
        p_high,
        influential_plots,
        deletions: left_out.len(),
        sentence: String::new(),
    };
    out.sentence =
        diagnostic_words::leave_one_out(&out, data.plots.len(), left_out.len() - rest.len());
    out
}
