//! Power of a test that takes long: many simulated trials are drawn, and it judges few of them.
//!
//! Two-phase sampling (J. Neyman, "Contribution to the theory of sampling human populations", Journal of the American
//! Statistical Association 33, 1938, 101-116). A quick test sees every trial and predicts the chance q that the slow one
//! will find something. The slow one judges a trial with an inclusion probability p, in proportion to
//! sqrt(q (1 - q)) (Neyman's allocation): often where the quick test leaves it open, seldom where it is sure. A trial then counts
//!
//! ```text
//! z = q + (y - q) / p   where it was judged, with y = 1 for a find and 0 for none
//! z = q                 where it was not
//! ```
//!
//! (the difference estimator: C.-E. Särndal, B. Swensson and J. Wretman, "Model Assisted Survey Sampling", 1992, section 9.6). The mean of z
//! is the power, without bias whatever q is, and as trials are independent its standard error is sd(z) / sqrt(trials): a poor
//! prediction costs precision and nothing else. When not to use it: for a test that is as quick as the prediction.

use serde::Serialize;

use super::simulated::{
    BATCH, CLEAR, Plan, SimulatedTrial, SimulationBudget, SiteParameters, each_trial,
};
use crate::Error;
use crate::error::above_zero;
use crate::random::Generator;

/// Inclusion probability over sqrt(q (1 - q)). Of 0.3 to 1, tried on eight plans of 6 to 50 blocks with the headline test, all between 0.3 and
/// 0.5 took a quarter of the time for the same error; 0.35 judges about one trial in thirteen.
const ALLOCATION: f64 = 0.35;

/// Inclusion probability of a trial of which the prediction is sure, so that one it is wrong about counts for 25 at most.
const LEAST: f64 = 0.04;

/// Where fewer trials than this are drawn, all are judged: from so few, some of which count for many, no error is known.
pub const FEWEST: usize = 250;

/// A power estimated by two-phase sampling.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct TwoPhasePower {
    /// The power, from 0 to 1.
    pub power: f64,
    /// Its Monte-Carlo standard error, never below that of as many trials all judged.
    pub se: f64,
    /// Trials drawn.
    pub trials: usize,
    /// Trials that the slow test judged.
    pub judged: usize,
    /// Whether it stopped before all trials because the answer was clear.
    pub clear: bool,
}

/// Share of simulated trials in which `finds` is true, with `predicted` as the quick test: the chance of that, from 0 to 1 (one half where
/// it is not a number).
///
/// `site` gives each trial its parameters; `stream` is the seed and the cell that separates plans under one seed. The same seed gives the
/// same answer on any number of threads.
///
/// # Errors
/// A plan that is not a trial, or no trials.
pub fn power<G, Q, T>(
    plan: &Plan,
    site: G,
    budget: SimulationBudget,
    stream: (u64, u32),
    predicted: Q,
    finds: T,
) -> Result<TwoPhasePower, Error>
where
    G: Fn(&mut Generator) -> SiteParameters + Sync,
    Q: Fn(&SimulatedTrial) -> f64 + Sync,
    T: Fn(&SimulatedTrial) -> bool + Sync,
{
    plan.check()?;
    above_zero("trials to simulate", budget.trials as f64, false)?;
    let least = if budget.trials < FEWEST { 1.0 } else { LEAST };
    let judge = |trial: &SimulatedTrial, generator: &mut Generator| {
        let q = predicted(trial);
        let q = if q.is_nan() { 0.5 } else { q.clamp(0.0, 1.0) };
        let inclusion = (ALLOCATION * (q * (1.0 - q)).sqrt()).max(least);
        let judged = generator.unit() < inclusion;
        let y = if judged && finds(trial) { 1.0 } else { 0.0 };
        let z = if judged { q + (y - q) / inclusion } else { q };
        (z, judged)
    };
    let mut sums = Sums::default();
    loop {
        let to = ((sums.trials / BATCH + 1) * BATCH).min(budget.trials);
        for (z, judged) in each_trial(plan, &site, sums.trials..to, stream, judge) {
            sums.add(z, judged);
        }
        let clear = budget
            .until_clear_of
            .is_some_and(|line| sums.clear_of(line));
        if clear || to == budget.trials {
            return Ok(TwoPhasePower {
                power: sums.power(),
                se: sums.se(),
                trials: to,
                judged: sums.judged,
                clear: clear && to < budget.trials,
            });
        }
    }
}

/// Sums over the trials drawn so far.
#[derive(Debug, Default)]
struct Sums {
    trials: usize,
    judged: usize,
    z: f64,
    squares: f64,
}

impl Sums {
    fn add(&mut self, z: f64, judged: bool) {
        self.trials += 1;
        self.judged += usize::from(judged);
        self.z += z;
        self.squares += z * z;
    }

    fn power(&self) -> f64 {
        (self.z / self.trials as f64).clamp(0.0, 1.0)
    }

    fn se(&self) -> f64 {
        let n = self.trials as f64;
        let variance = (self.squares - self.z * self.z / n).max(0.0) / (n - 1.0).max(1.0);
        // With all z alike nothing would scatter: half a trial of the other kind is allowed for.
        let share = self.power().clamp(0.5 / n, 1.0 - 0.5 / n);
        (variance / n).max(share * (1.0 - share) / n).sqrt()
    }

    /// Whether the power is clearly on one side of `line`.
    fn clear_of(&self, line: f64) -> bool {
        let at_line = (line * (1.0 - line) / self.trials as f64).sqrt();
        (self.power() - line).abs() > CLEAR * self.se().max(at_line)
    }
}
