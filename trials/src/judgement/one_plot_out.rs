//! Does a single plot carry the verdict?

use halfgreen_analysis::comparison::{Call, Contrast, EvaluatedContrast};
use halfgreen_analysis::diagnostics::CaseDeletion;
use serde::Serialize;

use super::doubts;
use super::tested_ratio::finite;
use crate::trial_data::TrialData;

/// The verdict on a method without each plot in turn.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct OnePlotOut {
    /// Method.
    pub treatment: String,
    /// Smallest ratio.
    pub ratio_low: Option<f64>,
    /// Largest ratio.
    pub ratio_high: Option<f64>,
    /// Smallest p of the leading test.
    pub p_low: Option<f64>,
    /// Largest p of the leading test.
    pub p_high: Option<f64>,
    /// Plots without which the call is another one.
    pub turned_by: Vec<TurnedBy>,
    /// Plots left out, one at a time; in large tables those that lie farthest from what was expected.
    pub tried: usize,
    /// What that means.
    pub sentence: String,
}

/// A plot without which the call is another one.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct TurnedBy {
    /// The plot.
    pub plot: String,
    /// Plots left out with it.
    pub with: Vec<String>,
    /// The call without it.
    pub call: Call,
    /// The ratio without it.
    pub ratio: Option<f64>,
    /// p of the leading test without it.
    pub p: f64,
}

/// The verdict on method `at`, whose comparison with every plot is `whole`, without each plot.
pub(super) fn one_plot_out(
    data: &TrialData,
    at: usize,
    whole: &Contrast,
    left_out: &[CaseDeletion],
) -> OnePlotOut {
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
    let turned_by = rest
        .iter()
        .filter(|(_, c)| c.call != whole.call)
        .map(|(l, c)| TurnedBy {
            plot: name(l.plot),
            with: l
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
    let mut out = OnePlotOut {
        treatment: whole.treatment.clone(),
        ratio_low,
        ratio_high,
        p_low,
        p_high,
        turned_by,
        tried: left_out.len(),
        sentence: String::new(),
    };
    out.sentence = doubts::one_plot_out(&out, data.plots.len(), left_out.len() - rest.len());
    out
}
