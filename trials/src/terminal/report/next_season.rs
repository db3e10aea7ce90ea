//! From this trial's results to the size of the next, for the report.

use crate::Error;
use crate::design::{Better, Protocol};
use crate::report::NextSeason;
use crate::report::rounding::percent;
use crate::season::carry::{from_past, read_results};
use crate::season::looks;
use crate::season::next_trial::{Method, NextTrial, next_trial};
use crate::season::pictures::power_curves;
use crate::season::planned_test::{NAME, planned_test};
use crate::season::prices::Prices;
use crate::season::wish::Wish;

/// Chance with which the smallest change worth having should be found: common practice, no source.
const POWER: f64 = 0.8;
/// Simulated trials for each plan: errors of about 1 per cent at 80.
const TRIALS: usize = 1000;
/// Seed: the answer is the same each time it is asked, and that of `next`.
const SEED: u64 = 1;
/// Largest number of blocks the test is made ready for.
const MOST: usize = 201;

/// What next season needs, or why that cannot be said.
pub(super) fn next_season(protocol: &Protocol, results: &str) -> NextSeason {
    let told = |why: String| NextSeason {
        sentence: why,
        notes: Vec::new(),
        plans: Vec::new(),
        figure: None,
    };
    if protocol.response.better == Better::More {
        return told(
            "This trial looked for an increase. Plans are sized for a reduction, so none is suggested here".to_owned(),
        );
    }
    match sized(protocol, results) {
        Ok(next) => next,
        Err(e) => told(format!(
            "No size can be suggested from these counts: {}. {}",
            e.what, e.cure
        )),
    }
}

fn sized(protocol: &Protocol, results: &str) -> Result<NextSeason, Error> {
    let past = read_results("results.json", results)?;
    let known = from_past(&[past], 0.0)?;
    let own = protocol.response.cores_per_plot;
    let wish = Wish {
        reduction: protocol.decision.worthwhile_percent / 100.0,
        methods: protocol.treatments.len().saturating_sub(1),
        alpha: protocol.decision.alpha,
        power: POWER,
        blocks: Vec::new(),
        cores: vec![own, 2 * own],
        looks: Vec::new(),
        spending: looks::USUAL,
    };
    let method = Method {
        test: planned_test(wish.alpha, wish.reduction, wish.methods, MOST),
        name: NAME.to_owned(),
        trials: TRIALS,
        seed: SEED,
    };
    let answer = next_trial(&wish, &known, &Prices::default(), &method, &|_, _| ())?;
    Ok(NextSeason {
        sentence: answer.suggestion.sentence.clone(),
        notes: notes(&answer),
        plans: plans(&answer),
        figure: Some(power_curves(&answer)?),
    })
}

fn notes(answer: &NextTrial) -> Vec<String> {
    let mut notes = Vec::new();
    if let Some(seen) = answer.suggestion.smallest_reduction {
        notes.push(format!(
            "The smallest reduction that such a trial finds as surely is about {}",
            percent(seen.reduction_percent / 100.0)
        ));
    }
    // A report has no prices; that nobody gave any is not worth a line.
    let cautions = answer
        .cautions
        .iter()
        .filter(|c| c.code != "cost-not-priced");
    notes.extend(cautions.map(|c| c.message.clone()));
    notes.push(
        "Worked out from the mean, the clumping and the differences between blocks that this trial found, by simulation"
            .to_owned(),
    );
    notes
}

/// Every plan of the table, fewest plots first.
fn plans(answer: &NextTrial) -> Vec<[String; 3]> {
    let mut cells: Vec<_> = answer.table.iter().collect();
    cells.sort_by_key(|c| (c.blocks, c.cores_per_plot));
    let row = |c: &&crate::season::next_trial::Cell| {
        [
            c.blocks.to_string(),
            c.cores_per_plot.to_string(),
            percent(c.power),
        ]
    };
    cells.iter().map(row).collect()
}
