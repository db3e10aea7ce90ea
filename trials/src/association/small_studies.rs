//! Whether small trials find other effects than large ones, by their size and not by their counts.

use halfgreen_analysis::meta_analysis::{Effect, PoolOptions, Smallness, small_study_test};
use serde::Serialize;

use super::TrialEffect;

/// Trials from which on the question is asked at all: two lie on any line.
const ENOUGH: usize = 3;

/// The regression of effects on the smallness of their trials.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SmallStudies {
    /// What smallness is measured by.
    pub by: &'static str,
    /// Change of the effect for one unit of smallness.
    pub slope: f64,
    /// Its lower limit.
    pub slope_low: f64,
    /// Its upper limit.
    pub slope_high: f64,
    /// Its p.
    pub p: f64,
    /// The effect of a trial without limit of size, by the same line.
    pub effect_without_limit: f64,
    /// What the test cannot tell.
    pub limits: Vec<String>,
}

impl SmallStudies {
    /// By one over the number of plots where all trials tell it and they differ, since that does not hang on the counts; else
    /// by the standard error.
    pub(super) fn of(
        trials: &[&TrialEffect],
        effects: &[Effect],
        options: &PoolOptions,
    ) -> Option<Self> {
        if trials.len() < ENOUGH {
            return None;
        }
        let sizes: Option<Vec<f64>> = trials
            .iter()
            .map(|t| t.plots.filter(|n| *n > 0).map(|n| n as f64))
            .collect();
        let sizes = sizes.filter(|s| s.iter().any(|size| size != &s[0]));
        let (by, smallness) = match &sizes {
            Some(sizes) => ("one over the number of plots", Smallness::OneOver(sizes)),
            None => ("standard error", Smallness::StandardError),
        };
        // Trials all of one size have no slope.
        let found = small_study_test(effects, smallness, options).ok()?;
        Some(Self {
            by,
            slope: found.slope.estimate,
            slope_low: found.slope.low,
            slope_high: found.slope.high,
            p: found.slope.p,
            effect_without_limit: found.limit.estimate,
            limits: found.cautions.into_iter().map(|c| c.message).collect(),
        })
    }
}
