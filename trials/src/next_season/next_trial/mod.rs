//! The next trial: power over blocks and cores, the cheapest plan that will do, what it would tell.
//!
//! In: a [`Wish`], what is known of the ground, prices, and the test that will judge. Out: a
//! [`NextTrial`]. Every plan of the table is simulated until it is clear on which side of the wished power
//! it lies; from the cheapest up, those that seem to reach it are then simulated anew and in full until one does,
//! so that luck does not choose it. The table shows the new figures where there are some.

mod answer;
mod desk;

use halfgreen_analysis::power::assurance::ParameterUncertainty;
use halfgreen_analysis::power::simulated::SimulatedTrial;
use halfgreen_analysis::results::Caution;

pub use answer::{Assumptions, Cell, NextTrial, Suggestion};
use desk::Desk;

use super::prices::Prices;
use super::wish::Wish;
use crate::Error;

/// How to work it out: the test that will judge, how much to simulate, and the seed.
#[derive(Debug, Clone)]
pub struct Method<V> {
    /// Returns the number of the verdict in [`CALLS`](crate::next_season::truths::CALLS) for the first method.
    pub test: V,
    /// The same, but asked only whether the method beat the control: the verdicts after the first may be
    /// any of the others.
    pub beats: V,
    /// The test in words.
    pub name: String,
    /// Trials in each cell, at most.
    pub trials: usize,
    /// Seed.
    pub seed: u64,
    /// Leave out what a block more would give and the verdicts under several truths: they take as many trials
    /// as half of the table.
    pub brief: bool,
}

/// Works out the table and the suggestion. `done` hears after each cell how many of how many are ready.
///
/// # Errors
/// An impossible wish, with the reason and the nearest possible plan.
pub fn next_trial<V>(
    wish: &Wish,
    known: &ParameterUncertainty,
    prices: &Prices,
    method: &Method<V>,
    done: &dyn Fn(usize, usize),
) -> Result<NextTrial, Error>
where
    V: Fn(&SimulatedTrial) -> usize + Sync,
{
    wish.check(known)?;
    prices.check()?;
    let ground = known.centre();
    let desk = Desk {
        wish,
        known,
        ground,
        prices,
        method,
    };
    let blocks = desk.blocks()?;
    let total = blocks.len() * wish.cores.len();
    let mut table = Vec::with_capacity(total);
    for (column, &cores) in wish.cores.iter().enumerate() {
        for &blocks in &blocks {
            // One stream a column: more blocks extend the same trials, so that the curve is smooth.
            table.push(desk.cell(blocks, cores, column, Some(wish.power))?);
            done(table.len(), total);
        }
    }
    let suggestion = desk.suggest(&mut table)?;
    let assumptions = Assumptions {
        wish: wish.clone(),
        ground,
        known: *known,
        test: method.name.clone(),
        trials: method.trials,
        prices: *prices,
    };
    let cautions = cautions(&suggestion, &table);
    Ok(NextTrial {
        table,
        suggestion,
        assumptions,
        cautions,
    })
}

fn cautions(suggestion: &Suggestion, table: &[Cell]) -> Vec<Caution> {
    let mut out = Vec::new();
    if !suggestion.reached {
        out.push(Caution::new(
            "wish-not-reached",
            suggestion.sentence.clone(),
        ));
    }
    if suggestion.assurance < suggestion.plan.power - 0.05 {
        out.push(Caution::new(
            "ground-poorly-known",
            format!(
                "The power holds if k and the block spread are as estimated; averaged over what is not known of them \
                 it is {:.0} %. A block or two more is the usual remedy.",
                100.0 * suggestion.assurance
            ),
        ));
    }
    if table.iter().all(|cell| cell.cost.is_none()) {
        out.push(Caution::new(
            "cost-not-priced",
            "No prices were given, so costs are left out and plans are ranked by plots, then cores.",
        ));
    }
    out
}
