//! Whether the answer hangs on one club: all of a club's trials are left out together, each club in turn.

use std::collections::BTreeSet;

use halfgreen_analysis::comparison::Question;
use halfgreen_analysis::meta_analysis::{Effect, PoolOptions, pool};

use super::TrialEffect;
use super::answer::WithoutClub;
use super::pooled::judged;
use crate::Error;

/// Clubs up to which each is left out in turn: the work grows with the square, and with more no single one carries the answer.
const MOST_LEFT_OUT: usize = 500;

/// Clubs from which on one can be left out and the rest still be pooled.
const FEWEST_LEFT_OUT: usize = 3;

/// The answer without each club in turn.
pub(super) fn without_each(
    trials: &[&TrialEffect],
    effects: &[Effect],
    options: &PoolOptions,
    question: &Question,
) -> Result<Vec<WithoutClub>, Error> {
    let mut seen = BTreeSet::new();
    let names = trials.iter().map(|t| t.club.as_str());
    let clubs: Vec<&str> = names.filter(|club| seen.insert(*club)).collect();
    if !(FEWEST_LEFT_OUT..=MOST_LEFT_OUT).contains(&clubs.len()) {
        return Ok(Vec::new());
    }
    let without = |club: &&str| -> Result<WithoutClub, Error> {
        let rest: Vec<Effect> = (trials.iter().zip(effects))
            .filter(|(trial, _)| trial.club != **club)
            .map(|(_, effect)| *effect)
            .collect();
        let pooled = pool(&rest, options)?;
        Ok(WithoutClub {
            club: (*club).to_owned(),
            effect: pooled.effect,
            low: pooled.low,
            high: pooled.high,
            tau2: pooled.tau2,
            i2: pooled.i2,
            call: judged(&pooled, question).0,
        })
    };
    clubs.iter().map(without).collect()
}
