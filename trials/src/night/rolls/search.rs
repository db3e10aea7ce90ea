//! Branch and bound over rolls, each completed around the longest strip left.

use super::bound::Weights;
use super::fill::{Content, contents};
use super::greedy::{Filled, Roll, cost, taken};
use super::problem::Steps;

/// Contents looked at, after which the best so far is told with its gap: some tenths of a second. Of 3 000 random nights of
/// up to 40 strips from one sort all were proven long before, of 3 000 from two to four sorts all but 38.
pub const MOST_STEPS: usize = 300_000;

/// Contents of one roll beyond which the search gives up: so many short strips nearly always reach the bound at once.
const MOST_CONTENTS: usize = 5_000;

/// What the search found.
#[derive(Debug)]
pub(super) struct Found {
    /// Something cheaper than what it began with, if there is.
    pub(super) better: Option<Vec<Filled>>,
    /// Whether all was searched.
    pub(super) complete: bool,
}

/// Looks for rolls that cost less than `best`, down to `bound`.
pub(super) fn search(problem: &Steps, weights: &[Weights], best: u64, bound: u64) -> Found {
    let mut walk = Walk {
        problem,
        weights,
        best,
        bound,
        better: None,
        steps: 0,
        complete: true,
        rolls: Vec::new(),
    };
    let (counts, shed) = (problem.counts.clone(), vec![true; problem.shed.len()]);
    walk.from(&counts, &shed, 0);
    Found {
        better: walk.better,
        complete: walk.complete,
    }
}

struct Walk<'a> {
    problem: &'a Steps,
    weights: &'a [Weights],
    /// Cost of the best so far.
    best: u64,
    /// Below which none can be.
    bound: u64,
    better: Option<Vec<Filled>>,
    steps: usize,
    complete: bool,
    rolls: Vec<Filled>,
}

impl Walk<'_> {
    fn from(&mut self, counts: &[u32], shed: &[bool], spent: u64) {
        let Some(first) = counts.iter().position(|&n| n > 0) else {
            if spent < self.best {
                self.best = spent;
                self.better = Some(self.rolls.clone());
            }
            return;
        };
        let owed = self.weights.iter().map(|w| w.bound(counts, shed)).max();
        if spent + owed.unwrap_or(0) >= self.best {
            return;
        }
        for roll in self.rolls_for(first, shed) {
            let Some(all) = self.contents(counts, first, roll) else {
                self.complete = false;
                return;
            };
            self.steps += all.len();
            if self.steps > MOST_STEPS {
                self.complete = false;
            }
            for content in all {
                if self.best <= self.bound || !self.complete {
                    return;
                }
                self.with(counts, shed, spent, roll, content);
            }
        }
    }

    /// Goes on with a roll of some content.
    fn with(&mut self, counts: &[u32], shed: &[bool], spent: u64, roll: Roll, content: Content) {
        let (mut counts, mut shed) = (counts.to_vec(), shed.to_vec());
        taken(&mut counts, &content);
        if let Roll::Shed(k) = roll {
            shed[k] = false;
        }
        self.rolls.push(Filled { roll, content });
        let last = self.rolls.len() - 1;
        let more = cost(self.problem, &self.rolls[last..]);
        self.from(&counts, &shed, spent + more);
        self.rolls.pop();
    }

    /// Rolls that the longest strip may lie on: those of the shed, of equal ones the first; then those on sale.
    fn rolls_for(&self, first: usize, shed: &[bool]) -> Vec<Roll> {
        let length = self.problem.lengths[first];
        let mut tried = Vec::new();
        let mut rolls = Vec::new();
        for (k, &long) in self.problem.shed.iter().enumerate() {
            if shed[k] && long >= length && !tried.contains(&long) {
                tried.push(long);
                rolls.push(Roll::Shed(k));
            }
        }
        let sale = self.problem.sale.iter().enumerate();
        let long = sale.filter(|(_, s)| s.length_mm >= length);
        rolls.extend(long.map(|(j, _)| Roll::Sale(j)));
        rolls
    }

    fn contents(&self, counts: &[u32], first: usize, roll: Roll) -> Option<Vec<Content>> {
        let length = match roll {
            Roll::Shed(k) => self.problem.shed[k],
            Roll::Sale(j) => self.problem.sale[j].length_mm,
        };
        contents(&self.problem.lengths, counts, first, length, MOST_CONTENTS)
    }
}
