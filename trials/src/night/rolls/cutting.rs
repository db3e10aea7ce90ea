//! The answer: rolls and the strips that are cut from them.

use super::bound::weights;
use super::greedy::{Filled, Roll, cost, greedy};
use super::problem::{Problem, Steps};
use super::search::search;
use crate::Error;

/// Where a roll comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum From {
    /// The shed: its place in [`Problem::shed`].
    Shed(usize),
    /// The merchant: its place in [`Problem::sale`].
    Sale(usize),
}

/// A roll and the strips cut from it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Cut {
    /// Where it comes from.
    pub from: From,
    /// Places in [`Problem::strips`], in cutting order: the longest first.
    pub strips: Vec<usize>,
    /// What is left on the roll, millimetres.
    pub rest_mm: u64,
}

/// All rolls that are cut: those of the shed, then those bought.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Cutting {
    /// The rolls.
    pub rolls: Vec<Cut>,
    /// What those that are bought cost.
    pub cost: u64,
    /// No cutting costs less.
    pub bound: u64,
}

impl Cutting {
    /// Whether no cutting can cost less.
    #[must_use]
    pub fn is_proven(&self) -> bool {
        self.cost == self.bound
    }
}

/// Cuts strips from rolls at the least cost that is found; see [the front page](super).
///
/// # Errors
/// A strip without length, one that no roll on sale is long enough for, or a price that cannot be summed.
pub fn cut(problem: &Problem) -> Result<Cutting, Error> {
    if problem.strips.is_empty() {
        return Ok(Cutting {
            rolls: Vec::new(),
            cost: 0,
            bound: 0,
        });
    }
    let steps = problem.steps()?;
    let nothing = || Error::new("rolls", "there is no roll on sale", "Name one.");
    let mut best = greedy(&steps).ok_or_else(nothing)?;
    let weights = weights(&steps);
    let shed = vec![true; steps.shed.len()];
    let bounds = weights.iter().map(|w| w.bound(&steps.counts, &shed));
    let mut bound = bounds.max().unwrap_or(0).min(cost(&steps, &best));
    if bound < cost(&steps, &best) {
        let found = search(&steps, &weights, cost(&steps, &best), bound);
        best = found.better.unwrap_or(best);
        if found.complete {
            bound = cost(&steps, &best);
        }
    }
    Ok(Cutting {
        cost: cost(&steps, &best),
        bound,
        rolls: named(problem, &steps, best),
    })
}

/// What a good cutting costs, without a search for a better one: to compare ways to lay by.
///
/// # Errors
/// As [`cut`].
pub fn quickly_cut(problem: &Problem) -> Result<u64, Error> {
    if problem.strips.is_empty() {
        return Ok(0);
    }
    let steps = problem.steps()?;
    let nothing = || Error::new("rolls", "there is no roll on sale", "Name one.");
    let rolls = greedy(&steps).ok_or_else(nothing)?;
    Ok(cost(&steps, &rolls))
}

/// The rolls with the strips of the problem in place of lengths.
fn named(problem: &Problem, steps: &Steps, mut rolls: Vec<Filled>) -> Vec<Cut> {
    // The shed first; then sort by sort, the fullest roll first, so that the greatest rest comes last.
    rolls.sort_by_key(|r| {
        let held = held(steps, &r.content);
        match r.roll {
            Roll::Shed(k) => (0, k, 0),
            Roll::Sale(j) => (1, j, u64::MAX - held),
        }
    });
    let step = step(problem, steps);
    let mut waiting: Vec<Vec<usize>> = steps
        .lengths
        .iter()
        .map(|l| {
            let all = problem.strips.iter().enumerate().rev();
            all.filter(|(_, s)| **s == l * step)
                .map(|(i, _)| i)
                .collect()
        })
        .collect();
    let one = |roll: Filled| {
        let mut strips = Vec::new();
        for (waiting, &count) in waiting.iter_mut().zip(&roll.content) {
            let from = waiting.len().saturating_sub(count as usize);
            strips.extend(waiting.split_off(from).into_iter().rev());
        }
        let (from, length) = match roll.roll {
            Roll::Shed(k) => (From::Shed(k), problem.shed[k]),
            Roll::Sale(j) => (From::Sale(j), problem.sale[j].length_mm),
        };
        let used: u64 = strips.iter().map(|&i| problem.strips[i]).sum();
        Cut {
            from,
            strips,
            rest_mm: length - used,
        }
    };
    rolls.into_iter().map(one).collect()
}

fn held(steps: &Steps, content: &[u32]) -> u64 {
    let each = steps.lengths.iter().zip(content);
    each.map(|(l, &n)| l * u64::from(n)).sum()
}

/// Millimetres of a step.
fn step(problem: &Problem, steps: &Steps) -> u64 {
    match (problem.strips.iter().max(), steps.lengths.first()) {
        (Some(longest), Some(&in_steps)) => longest / in_steps.max(1),
        _ => 1,
    }
}
