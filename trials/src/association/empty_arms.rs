//! Trials in which nothing was found under the method or the control: pooled by the likelihood of their counts, nothing added.

use halfgreen_analysis::meta_analysis::{
    ArmTotal, PoolOptions, PooledCounts, TrialCounts, pool_counts,
};
use serde::Serialize;

use super::TrialEffect;
use crate::Error;

/// The average by the likelihood of counts, empty arms and all.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct EmptyArms {
    /// Trials with an empty arm.
    pub empty: usize,
    /// Trials whose counts are known, empty or not.
    pub trials: usize,
    /// Those in which anything was found.
    pub informative_trials: usize,
    /// Average log ratio; null where it has no end, or nothing was found.
    pub effect: Option<f64>,
    /// Lower limit of the ratio; 0 where nothing bounds it.
    pub ratio_low: Option<f64>,
    /// Upper limit; null where nothing bounds it.
    pub ratio_high: Option<f64>,
    /// Two-sided p of no effect on average.
    pub p: f64,
    /// Variance of true log ratios between trials, by maximum likelihood.
    pub tau2: f64,
    /// What the reader should know.
    pub cautions: Vec<String>,
}

impl EmptyArms {
    /// Over all trials whose counts are known; nothing where no arm is empty.
    ///
    /// k of a total is k of a plot times the plots of the arm: right where plots have one mean, too large where blocks differ.
    pub(super) fn of(
        trials: &[&TrialEffect],
        options: &PoolOptions,
    ) -> Result<Option<Self>, Error> {
        let empty = trials.iter().filter(|t| t.zero_arm).count();
        let known: Vec<TrialCounts> = trials.iter().filter_map(|t| counts(t)).collect();
        if empty == 0 || known.is_empty() {
            return Ok(None);
        }
        let found: PooledCounts = pool_counts(&known, options)?;
        let ratio = |log: f64| Some(log.exp()).filter(|r| r.is_finite());
        Ok(Some(Self {
            empty,
            trials: known.len(),
            informative_trials: found.informative_trials,
            effect: found.effect.filter(|e| e.is_finite()),
            ratio_low: ratio(found.low),
            ratio_high: ratio(found.high),
            p: found.p,
            tau2: found.tau2,
            cautions: found.cautions.into_iter().map(|c| c.message).collect(),
        }))
    }
}

/// The totals of both arms, where they are known.
fn counts(trial: &TrialEffect) -> Option<TrialCounts> {
    let arm = |count: Option<u64>, exposure: Option<f64>, plots: Option<usize>| {
        let plots = plots.map_or(1.0, |n| n.max(1) as f64);
        Some(ArmTotal {
            count: count?,
            exposure: exposure.unwrap_or(plots).max(f64::MIN_POSITIVE),
            k: trial.k.map_or(f64::INFINITY, |k| k * plots),
        })
    };
    Some(TrialCounts {
        treated: arm(
            trial.treated_count,
            trial.treated_exposure,
            trial.treated_plots,
        )?,
        control: arm(
            trial.control_count,
            trial.control_exposure,
            trial.control_plots,
        )?,
    })
}
