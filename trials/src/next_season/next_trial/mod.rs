//! The next trial: power over blocks and cores, the cheapest plan that will do, what it would tell.
//!
//! In: a [`SampleSizeRequest`], what is known of the ground, prices, and the test that will judge. Out: a
//! [`NextTrial`]. From the cheapest up, plans that may reach the wished power are simulated until it is clear on which side
//! of it they lie; those that seem to reach it are then simulated anew and in full until one does, so that luck does not
//! choose it. A plan found short shows how far the formula is off, and plans that are then too weak are passed over. Of the
//! simulated trials a quick test sees all and the headline test judges some
//! ([`two_phase`](halfgreen_analysis::power::two_phase)). The table shows the new figures where there are some. In brief it holds only the plans looked at on the
//! way; otherwise the rest is worked out then, and the suggestion is the same.

mod answer;
mod cheapest;
mod plan_search;
mod sentences;

use halfgreen_analysis::power::assurance::ParameterUncertainty;
use halfgreen_analysis::results::Caution;

pub use answer::{Assumptions, Cell, NextTrial, Suggestion};
use plan_search::{PlanSearch, usual_blocks};

use super::effort::{Effort, affordable};
use super::ground::Ground;
use super::prices::Prices;
use super::primary_test::TrialTest;
use super::sample_size_request::{PlanSize, SampleSizeRequest};
use crate::Error;
use crate::progress::Progress;

/// How plans are simulated: the test that will judge, how much to simulate, and the seed.
#[derive(Debug, Clone)]
pub struct Simulation<T> {
    /// The test of the first method.
    pub test: T,
    /// The test in words.
    pub name: String,
    /// Trials of each plan, at most.
    pub trials: usize,
    /// Seed.
    pub seed: u64,
    /// Leave out plans of the table that need not be looked at, what a block more would give and the verdicts under several
    /// scenarios.
    pub brief: bool,
}

/// Works out the table and the suggestion, of which there is room on `ground` where one is given. `progress` hears after each cell how many of how many are ready.
///
/// # Errors
/// An impossible request, with the reason and the nearest possible plan; work that is stopped.
pub fn next_trial<T: TrialTest>(
    (request, ground): (&SampleSizeRequest, Option<&Ground<'_>>),
    parameter_uncertainty: &ParameterUncertainty,
    prices: &Prices,
    simulation: &Simulation<T>,
    progress: Progress<'_>,
) -> Result<NextTrial, Error> {
    request.check(parameter_uncertainty)?;
    prices.check()?;
    let site = parameter_uncertainty.centre();
    let columns = request.cores_per_plot.len();
    let fewest_cores = request.cores_per_plot.iter().min().copied().unwrap_or(1);
    let k = (site.k_sample * fewest_cores as f64).min(site.k_plot);
    let effort =
        |blocks: &[usize]| Effort::new(request.methods, (blocks, columns), simulation.trials, k);
    let (blocks, effort) = if request.blocks.is_empty() {
        affordable(usual_blocks(request, &site, ground)?, effort)?
    } else {
        (request.blocks.clone(), effort(&request.blocks)?)
    };
    let mut search = PlanSearch {
        request,
        ground,
        parameter_uncertainty,
        site,
        prices,
        simulation,
        effort,
    };
    let mut table = Vec::with_capacity(blocks.len() * columns);
    for &cores_per_plot in &request.cores_per_plot {
        for &blocks in &blocks {
            let size = PlanSize {
                blocks,
                cores_per_plot,
            };
            table.push(search.unseen(size)?);
        }
    }
    let by_formula = table
        .iter()
        .map(|c| (c.size(), c.power_by_formula))
        .collect();
    let found = search.cheapest(&mut table, progress)?;
    if simulation.brief {
        table.retain(|cell| cell.trials > 0);
    } else {
        search.fill(&mut table, &found.passed, progress)?;
    }
    let suggestion = search.suggest((found.plan, found.reached), &mut table)?;
    let assumptions = Assumptions {
        request: request.clone(),
        site,
        parameter_uncertainty: *parameter_uncertainty,
        test: simulation.name.clone(),
        trials: suggestion.plan.trials,
        prices: *prices,
        currency: None,
    };
    let mut cautions = cautions(&suggestion, &table);
    cautions.extend(fewer_trials(
        &suggestion,
        &table,
        request.power,
        &search.effort,
    ));
    let plots = suggestion.plan.blocks * (request.methods + 1);
    if !simulation.brief && search.effort.of_scenarios(plots).is_none() {
        let text = "What verdicts so large a plan would end in under several scenarios is left out: it would take minutes.";
        cautions.push(Caution::new("no-scenarios", text));
    }
    Ok(NextTrial {
        table,
        by_formula,
        suggestion,
        assumptions,
        follows: None,
        cautions,
    })
}

fn cautions(suggestion: &Suggestion, table: &[Cell]) -> Vec<Caution> {
    let mut out = Vec::new();
    if !suggestion.reached {
        out.push(Caution::new(
            "power-not-reached",
            suggestion.sentence.clone(),
        ));
    }
    if suggestion.holds_only_as_estimated() {
        out.push(Caution::new(
            "parameters-poorly-known",
            "The power holds if k and the block spread are as estimated, which one trial cannot tell well. A block or two \
             more is the usual remedy.",
        ));
    }
    if table.iter().all(|cell| cell.cost.is_none()) {
        out.push(Caution::new(
            "cost-not-priced",
            "No prices were given, so costs are left out and plans are ranked by plots, then by what is counted in each.",
        ));
    }
    out
}

/// What to know where plans are so large that fewer trials were simulated than were asked for.
fn fewer_trials(
    suggestion: &Suggestion,
    table: &[Cell],
    power: f64,
    effort: &Effort,
) -> Option<Caution> {
    let (asked, look) = (effort.asked, effort.look());
    let unclear = |c: &&Cell| c.trials < look && (c.power - power).abs() < 2.0 * c.power_se;
    let open = table.iter().filter(unclear).count();
    if suggestion.plan.trials >= asked && open == 0 {
        return None;
    }
    let text = format!(
        "So large plans are simulated in fewer than {asked} trials, the suggested one in {}: more would take minutes. Its \
         power is known to within {:.1} in 100 (one standard error), and of {open} plans of the table it is not clear \
         whether they reach {:.0} in 100.",
        suggestion.plan.trials,
        100.0 * suggestion.plan.power_se,
        100.0 * power,
    );
    Some(Caution::new("fewer-trials", text))
}
