//! Whether the answer hangs on one club: all of a club's trials are left out together, each club in turn.

use halfgreen_analysis::comparison::Question;
use halfgreen_analysis::meta_analysis::{Effect, PoolOptions, pool};
use indexmap::IndexMap;
use rayon::prelude::*;

use super::TrialEffect;
use super::answer::WithoutClub;
use super::pooled::judged;
use crate::Error;

/// Effects that are pooled anew, over all clubs: the work for each club grows with the trials of all, and so is bounded.
const MOST_WORK: usize = 1_000_000;

/// Clubs from which on one can be left out and the rest still be pooled.
const FEWEST_LEFT_OUT: usize = 3;

/// The answer without each club in turn, in the order of their first trials; where that is too much work, without each of those
/// whose trials have the greatest weights, without which the answer changes most.
pub(super) fn without_each(
    trials: &[&TrialEffect],
    effects: &[Effect],
    weights: &[f64],
    options: &PoolOptions,
    question: &Question,
) -> Result<Vec<WithoutClub>, Error> {
    let mut clubs: IndexMap<&str, f64> = IndexMap::new();
    for (trial, weight) in trials.iter().zip(weights) {
        *clubs.entry(&trial.club).or_default() += weight;
    }
    if clubs.len() < FEWEST_LEFT_OUT {
        return Ok(Vec::new());
    }
    let most = (MOST_WORK / effects.len()).max(1);
    let without = |club: &str| -> Result<WithoutClub, Error> {
        let rest: Vec<Effect> = (trials.iter().zip(effects))
            .filter(|(trial, _)| trial.club != club)
            .map(|(_, effect)| *effect)
            .collect();
        let pooled = pool(&rest, options)?;
        Ok(WithoutClub {
            club: club.to_owned(),
            effect: pooled.effect,
            low: pooled.low,
            high: pooled.high,
            tau2: pooled.tau2,
            i2: pooled.i2,
            call: judged(&pooled, question).0,
        })
    };
    weightiest(&clubs, most)
        .into_par_iter()
        .map(without)
        .collect()
}

/// So many clubs of the greatest weight, in the order in which they stand.
fn weightiest<'c>(clubs: &IndexMap<&'c str, f64>, most: usize) -> Vec<&'c str> {
    let mut order: Vec<(usize, f64)> = clubs.values().copied().enumerate().collect();
    // Stable, so that the first of equals comes first.
    order.sort_by(|a, b| b.1.total_cmp(&a.1));
    order.truncate(most);
    order.sort_by_key(|(at, _)| *at);
    let kept = order.into_iter();
    kept.filter_map(|(at, _)| Some(*clubs.get_index(at)?.0))
        .collect()
}
