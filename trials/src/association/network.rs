//! Several methods, each trial with some of them: one consistent comparison of all with the control and with each other.

use std::collections::BTreeMap;

use halfgreen_analysis::meta_analysis::{
    Effect, NetworkEffect, NetworkTrial, PoolOptions, TreatmentContrast, moderated,
    network as consistent,
};
use serde::Serialize;

use super::TrialEffect;
use super::methods::Method;
use super::pooled::effect_of;

/// What all trials say of all methods together.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Network {
    /// Every two of them; the control is `control`.
    pub comparisons: Vec<Comparison>,
    /// Variance of a log ratio between trials, one for all.
    pub tau2: f64,
    /// Weighted squares about the consistent effects.
    pub q: f64,
    /// Degrees of freedom of that.
    pub q_df: usize,
    /// Its p: small where trials differ, or routes disagree.
    pub q_p: f64,
    /// Level of all limits: all comparisons hold together (Bonferroni).
    pub confidence_level: f64,
}

/// One method against another, or against the control, by the whole network.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Comparison {
    /// The method.
    pub treatment: String,
    /// What it is compared with.
    pub against: String,
    /// Ratio of the one to the other.
    pub ratio: f64,
    /// Lower limit.
    pub ratio_low: f64,
    /// Upper limit.
    pub ratio_high: f64,
    /// Two-sided p of no difference, this comparison alone.
    pub p: f64,
    /// Trials that had both.
    pub direct_trials: usize,
}

/// What the control is called in comparisons.
const CONTROL: &str = "control";

/// The network of methods of one direction; nothing with fewer than two of them, or where it cannot be reckoned.
pub(super) fn network(
    methods: &[Method<'_>],
    options: &PoolOptions,
    alpha: f64,
) -> Option<Network> {
    let first = methods.first()?;
    let alike: Vec<&Method<'_>> = methods
        .iter()
        .filter(|m| m.better == first.better)
        .collect();
    if alike.len() < 2 {
        return None;
    }
    let number = alike.len() + 1;
    let comparisons = number * (number - 1) / 2;
    let options = PoolOptions {
        level: 1.0 - alpha / comparisons as f64,
        ..*options
    };
    let found = consistent(&trials(&alike), number, &options).ok()?;
    let called = |treatment: usize| match treatment.checked_sub(1) {
        None => CONTROL.to_owned(),
        Some(at) => alike.get(at).map_or(String::new(), |m| m.code.clone()),
    };
    let row = |e: &NetworkEffect| Comparison {
        treatment: called(e.treatment),
        against: called(e.control),
        ratio: e.effect.exp(),
        ratio_low: e.low.exp(),
        ratio_high: e.high.exp(),
        p: e.p,
        direct_trials: e.direct_trials,
    };
    Some(Network {
        comparisons: found.effects.iter().map(row).collect(),
        tau2: found.tau2,
        q: found.q,
        q_df: found.q_df,
        q_p: found.q_p,
        confidence_level: options.level,
    })
}

/// Every trial with the methods it had; the control is treatment 0. Errors from few plots are moderated method by method, as they
/// are where each method is pooled by itself.
fn trials(methods: &[&Method<'_>]) -> Vec<NetworkTrial> {
    let mut order: Vec<NetworkTrial> = Vec::new();
    let mut known: BTreeMap<(&str, &str, Option<i16>), usize> = BTreeMap::new();
    for (at, method) in methods.iter().enumerate() {
        let with = method.effects.iter().copied();
        let (trials, effects): (Vec<&TrialEffect>, Vec<Effect>) = with
            .filter_map(|trial| Some((trial, effect_of(trial)?)))
            .unzip();
        for (trial, effect) in trials.into_iter().zip(moderated(&effects)) {
            let key = (trial.club.as_str(), trial.trial.as_str(), trial.season);
            let place = *known.entry(key).or_insert_with(|| {
                order.push(NetworkTrial {
                    control: 0,
                    contrasts: Vec::new(),
                    control_variance: None,
                });
                order.len() - 1
            });
            order[place].contrasts.push(TreatmentContrast {
                treatment: at + 1,
                estimate: effect.estimate,
                standard_error: effect.standard_error,
            });
        }
    }
    order
}
