//! Whether the answer hangs on one trial.

use rayon::prelude::*;
use serde::Serialize;

use super::effect::{Effect, PoolOptions, check};
use super::pool::pool;
use crate::Error;

/// The answer without one trial.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct LeftOut {
    /// Number of the trial left out, from 0.
    pub trial: usize,
    /// The average effect of the others.
    pub effect: f64,
    /// Its lower limit.
    pub low: f64,
    /// Its upper limit.
    pub high: f64,
    /// Two-sided p of no effect on average.
    pub p: f64,
    /// Variance between the others.
    pub tau2: f64,
    /// I^2 of the others, in per cent.
    pub i2: f64,
}

/// Pools anew without each trial in turn (Viechtbauer & Cheung 2010, Research Synthesis Methods 1:112-125). Work grows with the
/// square of the number of trials; trials are left out side by side on the threads of the calling pool.
///
/// # Errors
/// As [`pool`]; fewer than two trials.
pub fn leave_one_out(effects: &[Effect], options: &PoolOptions) -> Result<Vec<LeftOut>, Error> {
    check(effects)?;
    if effects.len() < 2 {
        return Err(Error::new(
            "effects",
            "one trial",
            "two trials are needed to leave one out",
            "add trials",
        ));
    }
    let without = |trial: usize| {
        let rest: Vec<Effect> = [&effects[..trial], &effects[trial + 1..]].concat();
        let pooled = pool(&rest, options)?;
        Ok(LeftOut {
            trial,
            effect: pooled.effect,
            low: pooled.low,
            high: pooled.high,
            p: pooled.p,
            tau2: pooled.tau2,
            i2: pooled.i2,
        })
    };
    (0..effects.len()).into_par_iter().map(without).collect()
}
