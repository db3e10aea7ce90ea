//! k and block spread by setting: what trials on like ground in a like month teach for the next one.

use std::collections::BTreeMap;

use serde::Serialize;

use super::outcome::{Finding, Ground, Outcome};
use crate::text::rounding::figure;

/// What the trials of one setting teach.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Setting {
    /// The setting: the value of each thing that it is told by.
    pub setting: BTreeMap<String, String>,
    /// Trials that it rests on.
    pub trials: usize,
    /// Trials in whose control nothing was found, and which teach nothing of scatter.
    pub empty: usize,
    /// Mean of the control, averaged over trials; null without trials.
    pub mean: Option<f64>,
    /// k of a plot's count, by the average of 1 / k; null where plots scatter no more than Poisson.
    pub k_plot: Option<f64>,
    /// Standard deviation of the log block means; null where no trial tells it.
    pub block_sd: Option<f64>,
    /// Variance of the log block means.
    pub block_variance: Option<f64>,
    /// The command that sizes the next trial on such ground; null without trials.
    pub next: Option<String>,
}

/// Settings told apart by the named things, in order; trials that do not say one of them are in a setting without it.
///
/// 1 / k and the block variance are averaged over trials with equal weights, a trial at the boundary counting as 0: single trials
/// estimate both with large errors that the average takes out, while an average of logarithms would follow those near 0. What
/// is small in each trial for want of blocks (maximum likelihood) stays small. All clumping is taken to lie between plots.
#[must_use]
pub fn settings(outcomes: &[&Outcome], by: &[&str]) -> Vec<Setting> {
    let mut grounds: BTreeMap<BTreeMap<String, String>, Vec<&Ground>> = BTreeMap::new();
    for outcome in outcomes {
        let Finding::Judged {
            effects,
            ground: Some(ground),
        } = &outcome.finding
        else {
            continue;
        };
        let known = effects.first().map(|e| &e.moderators);
        let value = |name: &str| match name {
            "season" => Some(outcome.key.season.to_string()),
            "club" => Some(outcome.key.club.clone()),
            other => known?.get(other).cloned(),
        };
        let named = by
            .iter()
            .filter_map(|name| Some(((*name).to_owned(), value(name)?)));
        grounds.entry(named.collect()).or_default().push(ground);
    }
    grounds
        .into_iter()
        .map(|(setting, grounds)| taught(setting, &grounds))
        .collect()
}

fn taught(setting: BTreeMap<String, String>, all: &[&Ground]) -> Setting {
    let grounds: Vec<&Ground> = all.iter().copied().filter(|g| g.mean.value > 0.0).collect();
    let mut found = Setting {
        setting,
        trials: grounds.len(),
        empty: all.len() - grounds.len(),
        mean: None,
        k_plot: None,
        block_sd: None,
        block_variance: None,
        next: None,
    };
    if grounds.is_empty() {
        return found;
    }
    let average = |of: &dyn Fn(&Ground) -> f64| {
        grounds.iter().map(|g| of(g)).sum::<f64>() / grounds.len() as f64
    };
    let above = |x: f64| Some(x).filter(|x| x.is_finite() && *x > 0.0);
    found.mean = above(average(&|g| g.mean.value));
    found.k_plot = above(average(&|g| g.k.map_or(0.0, |k| 1.0 / k.value))).map(f64::recip);
    let blocked: Vec<f64> = grounds
        .iter()
        .filter_map(|g| Some(g.block_sd?.value.powi(2)))
        .collect();
    found.block_variance = above(blocked.iter().sum::<f64>() / grounds.len() as f64);
    found.block_sd = found.block_variance.map(f64::sqrt);
    found.next = found.mean.map(|mean| {
        let k_plot = found.k_plot.map_or("inf".to_owned(), figure);
        let block_sd = found.block_sd.map_or("0".to_owned(), figure);
        format!("halfgreen next --reduction 50 --mean {} --k inf --k-plot {k_plot} --block-sd {block_sd}", figure(mean))
    });
    found
}
