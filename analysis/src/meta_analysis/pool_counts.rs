//! Totals of both arms of many trials, empty arms among them: a likelihood, and no halves added.

use serde::Serialize;

use super::effect::{IntervalMethod, PoolOptions};
use super::random_effect::Likelihood;
use crate::Error;
use crate::distributions::{normal_quantile, normal_sf, t_quantile, t_sf};
use crate::results::Caution;

/// The total of one arm of one trial.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ArmTotal {
    /// Everything counted in the arm.
    pub count: u64,
    /// Samples or area behind it, above 0.
    pub exposure: f64,
    /// k of the total, above 0 (below 0.001 it counts as 0.001), infinite for a Poisson count: of plots with one mean and one k, k times their number.
    pub k: f64,
}

/// Both arms of one trial.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TrialCounts {
    /// The arm that was treated.
    pub treated: ArmTotal,
    /// The control.
    pub control: ArmTotal,
}

/// The average effect by the likelihood of counts.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PooledCounts {
    /// The average log ratio of treated to control; infinite where an arm is empty in every trial, `None` where nothing was counted.
    pub effect: Option<f64>,
    /// Lower limit; minus infinity where nothing bounds it.
    pub low: f64,
    /// Upper limit.
    pub high: f64,
    /// Two-sided p of no effect on average; 1 where nothing was counted.
    pub p: f64,
    /// Degrees of freedom of limits and p: trials that tell something, less one; `None` for the normal law or one such trial.
    pub degrees_of_freedom: Option<f64>,
    /// Variance of true log ratios between trials, by maximum likelihood.
    pub tau2: f64,
    /// Log-likelihood at the maximum.
    pub log_likelihood: f64,
    /// Trials in which something was counted; the others say nothing of the ratio.
    pub informative_trials: usize,
    /// What the reader should know.
    pub cautions: Vec<Caution>,
}

/// Pools trials by the likelihood of their counts, so that empty arms need nothing added.
///
/// Counts are Poisson or, where k is given, negative binomial; the level of each trial is integrated out with equal weight on the
/// log scale, which for Poisson counts leaves the binomial likelihood given the trial's total (Stijnen, Hamza & Ozdemir 2010,
/// Statistics in Medicine 29:3046-3067); log ratios are normal about the average with variance tau^2, integrated out by adaptive
/// Gauss-Hermite quadrature. Limits are those of the profile likelihood, twice whose fall is held against the square of t on one
/// degree of freedom fewer than trials (chi-squared for [`IntervalMethod::Normal`]).
///
/// tau^2 by maximum likelihood is a little too small where trials are few. k counts as known: what it was estimated from is not
/// reckoned with, and totals over blocks that differ scatter more than k times the plots says.
///
/// # Errors
/// No trials, exposures or k that are not above 0.
pub fn pool_counts(trials: &[TrialCounts], options: &PoolOptions) -> Result<PooledCounts, Error> {
    options.check()?;
    check(trials)?;
    let telling: Vec<TrialCounts> = trials
        .iter()
        .filter(|t| t.treated.count > 0 || t.control.count > 0)
        .map(TrialCounts::with_least_k)
        .collect();
    let cautions = cautions(trials.len(), &telling);
    let df = telling
        .len()
        .checked_sub(1)
        .filter(|&df| df > 0 && options.interval != IntervalMethod::Normal);
    let df = df.map(|df| df as f64);
    if telling.is_empty() {
        return Ok(PooledCounts {
            effect: None,
            low: f64::NEG_INFINITY,
            high: f64::INFINITY,
            p: 1.0,
            degrees_of_freedom: None,
            tau2: 0.0,
            log_likelihood: 0.0,
            informative_trials: 0,
            cautions,
        });
    }
    let likelihood = Likelihood::new(&telling);
    let top = likelihood.maximum();
    let beyond = 0.5 + 0.5 * options.level;
    let bound = df.map_or_else(|| normal_quantile(beyond), |df| t_quantile(beyond, df));
    let limit = |side: f64| likelihood.limit(&top, side, 0.5 * bound * bound);
    let fall = (top.value - likelihood.profile(0.0).value).max(0.0);
    let root = (2.0 * fall).sqrt();
    let tail = df.map_or_else(|| normal_sf(root), |df| t_sf(root, df));
    Ok(PooledCounts {
        effect: Some(top.effect),
        low: limit(-1.0),
        high: limit(1.0),
        p: (2.0 * tail).min(1.0),
        degrees_of_freedom: df,
        tau2: top.tau * top.tau,
        log_likelihood: top.value,
        informative_trials: telling.len(),
        cautions,
    })
}

/// Smallest k that is worked with: at a mean of one it leaves 993 plots of a thousand empty, and no count could tell a smaller one
/// from it. The work for a trial grows as k falls.
const LEAST_K: f64 = 1e-3;

impl TrialCounts {
    fn with_least_k(&self) -> Self {
        let held = |arm: ArmTotal| ArmTotal {
            k: arm.k.max(LEAST_K),
            ..arm
        };
        Self {
            treated: held(self.treated),
            control: held(self.control),
        }
    }
}

fn check(trials: &[TrialCounts]) -> Result<(), Error> {
    if trials.is_empty() {
        return Err(Error::new(
            "trials",
            "none",
            "pooling needs at least one trial",
            "add trials",
        ));
    }
    for (at, trial) in trials.iter().enumerate() {
        for arm in [&trial.treated, &trial.control] {
            if !(arm.exposure > 0.0 && arm.exposure.is_finite() && arm.k > 0.0) {
                return Err(Error::new(
                    format!("trial {}", at + 1),
                    format!("exposure {} and k {}", arm.exposure, arm.k),
                    "exposure and k must be above 0",
                    "leave out arms of which no sample was taken; an unknown k is infinite or that of all trials",
                ));
            }
        }
    }
    Ok(())
}

fn cautions(trials: usize, telling: &[TrialCounts]) -> Vec<Caution> {
    let mut out = Vec::new();
    let silent = trials - telling.len();
    if silent > 0 {
        out.push(Caution::new(
            "empty-trials",
            format!(
                "nothing was counted in {silent} of {trials} trials: they say nothing of the ratio"
            ),
        ));
    }
    let all = |empty: fn(&TrialCounts) -> bool| !telling.is_empty() && telling.iter().all(empty);
    if all(|t| t.treated.count == 0) || all(|t| t.control.count == 0) {
        out.push(Caution::new(
            "arm-empty-everywhere",
            "one arm is empty in every trial: the ratio is bounded on one side only",
        ));
    }
    if telling.len() == 1 {
        out.push(Caution::new(
            "one-trial",
            "one trial tells something: how far trials differ, and what the next one may find, cannot be told",
        ));
    }
    out
}
