//! Exact comparisons of two groups, where no blocks stand between them.

use halfgreen_analysis::exact::{
    NegativeBinomialComparison, PoissonComparison, compare_negative_binomial, compare_poisson,
};
use serde::Serialize;

use super::tested_ratio::finite;
use crate::design::BlockStructure;
use crate::trial_data::TrialData;

/// Two totals compared by counting every way in which they could have been split.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct TwoGroups {
    /// Every animal taken as independent.
    pub poisson: ExactRow,
    /// Negative binomial counts with the fitted k; null unless all plots have one area.
    pub negative_binomial: Option<ExactRow>,
    /// How to read them.
    pub sentence: String,
}

/// One exact comparison, treatment over control.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ExactRow {
    /// Ratio; null where it is infinite or not defined.
    pub ratio: Option<f64>,
    /// Lower limit, where the method has one.
    pub low: Option<f64>,
    /// Upper limit, where the method has one.
    pub high: Option<f64>,
    /// Two-sided p.
    pub p: f64,
    /// The same with half of the observed split's mass.
    pub p_mid: f64,
}

/// Compares the totals of a trial of two treatments without blocks; `None` for any other trial.
pub(super) fn two_groups(data: &TrialData, k: Option<f64>) -> Option<TwoGroups> {
    if data.blocking != BlockStructure::Unblocked || data.treatments.len() != 2 {
        return None;
    }
    let mut totals = [0_u64; 2];
    let mut areas = [0.0; 2];
    let mut plots = [0_u64; 2];
    for plot in &data.plots {
        // The treatment comes first in the ratio.
        let arm = usize::from(plot.treatment == data.treatments[0]);
        totals[arm] += plot.count;
        areas[arm] += plot.exposure;
        plots[arm] += 1;
    }
    let level = 1.0 - data.question.alpha;
    let poisson = compare_poisson(totals, areas, 1.0, level).ok()?;
    let alike = data
        .plots
        .iter()
        .all(|p| p.exposure == data.plots[0].exposure);
    let negative_binomial = if alike {
        compare_negative_binomial(totals, plots, k.unwrap_or(f64::INFINITY), true).ok()
    } else {
        None
    };
    Some(TwoGroups {
        poisson: of_poisson(&poisson),
        negative_binomial: negative_binomial.as_ref().map(of_negative_binomial),
        sentence: "Exact given the total: the first takes every animal as independent and claims too much where they \
                   clump; the second allows for clumping, with k estimated from the same counts."
            .to_owned(),
    })
}

fn of_poisson(c: &PoissonComparison) -> ExactRow {
    ExactRow {
        ratio: c.ratio.and_then(finite),
        low: finite(c.interval.low),
        high: finite(c.interval.high),
        p: c.p,
        p_mid: c.p_mid,
    }
}

fn of_negative_binomial(c: &NegativeBinomialComparison) -> ExactRow {
    ExactRow {
        ratio: c.ratio.and_then(finite),
        low: None,
        high: None,
        p: c.p,
        p_mid: c.p_mid,
    }
}
