//! From this trial's judgement to the size of the next, for the report.

use crate::Error;
use crate::design::{Better, Protocol};
use crate::judgement::Judgement;
use crate::next_season::looks;
use crate::next_season::next_trial::{NextTrial, Simulation, next_trial};
use crate::next_season::parameter_uncertainty::from_past;
use crate::next_season::past_trial::PastTrial;
use crate::next_season::pictures::power_curves;
use crate::next_season::prices::Prices;
use crate::next_season::primary_test::{NAME, primary_test};
use crate::next_season::sample_size_request::SampleSizeRequest;
use crate::progress::UNHEARD;
use crate::report::NextSeason;
use crate::text::rounding::{NONE, percent};

/// Chance with which the smallest change worth having should be found: common practice, no source.
const POWER: f64 = 0.8;
/// Simulated trials for each plan: errors of about 2.5 per cent at 80. The command `next` takes more.
const TRIALS: usize = 250;
/// Seed: the answer is the same each time it is asked, and that of `next`.
const SEED: u64 = 1;
/// Plans that the report sizes.
const BLOCKS: [usize; 7] = [4, 6, 8, 10, 12, 16, 20];

/// What next season needs, or why that cannot be said.
pub(super) fn next_season(protocol: &Protocol, judgement: &Judgement) -> NextSeason {
    let told = |why: String| NextSeason {
        sentence: why,
        notes: Vec::new(),
        plain: String::new(),
        heads: Vec::new(),
        plans: Vec::new(),
        figure: None,
    };
    if protocol.response.better == Better::More {
        return told(
            "This trial looked for an increase. Plans are sized for a reduction, so none is suggested here".to_owned(),
        );
    }
    match sized(protocol, judgement) {
        Ok(next) => next,
        Err(e) => told(format!(
            "No size can be suggested from these counts: {}. {}",
            e.what, e.cure
        )),
    }
}

fn sized(protocol: &Protocol, judgement: &Judgement) -> Result<NextSeason, Error> {
    let past = PastTrial::of(judgement, protocol.response.core_area_m2)?;
    let known = from_past(&[past], 0.0)?;
    let own = protocol.response.cores_per_plot;
    let request = SampleSizeRequest {
        reduction: protocol.decision.worthwhile_percent / 100.0,
        methods: protocol.treatments.len().saturating_sub(1),
        alpha: protocol.decision.alpha,
        power: POWER,
        blocks: BLOCKS.to_vec(),
        cores_per_plot: vec![own],
        looks: Vec::new(),
        spending: looks::USUAL,
    };
    let method = Simulation {
        test: primary_test(request.alpha, Some(request.reduction)),
        beats: primary_test(request.alpha, None),
        name: NAME.to_owned(),
        trials: TRIALS,
        seed: SEED,
        brief: true,
    };
    let answer = next_trial(&request, &known, &Prices::default(), &method, UNHEARD)?;
    Ok(NextSeason {
        sentence: answer.suggestion.sentence.clone(),
        notes: notes(&answer),
        plain: plain(&answer),
        heads: heads(&answer),
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

/// The suggestion for members.
fn plain(answer: &NextTrial) -> String {
    let found = &answer.suggestion;
    if !found.reached {
        return "a green of this size cannot hold a trial that would settle it for sure."
            .to_owned();
    }
    format!(
        "a trial of {} plots with {} cores of turf from each would see a reduction of {} in at least {:.0} of 100 such \
         trials.",
        found.plan.blocks * (answer.assumptions.request.methods + 1),
        found.plan.cores_per_plot,
        percent(answer.assumptions.request.reduction),
        100.0 * answer.assumptions.request.power
    )
}

fn heads(answer: &NextTrial) -> Vec<String> {
    let cores = answer.assumptions.request.cores_per_plot.iter();
    let heads = cores.map(|n| format!("{n} cores in each plot"));
    std::iter::once("blocks".to_owned()).chain(heads).collect()
}

/// A row for each number of blocks, a column for each number of cores.
fn plans(answer: &NextTrial) -> Vec<Vec<String>> {
    let mut blocks: Vec<usize> = answer.table.iter().map(|c| c.blocks).collect();
    blocks.sort_unstable();
    blocks.dedup();
    let power = |blocks: usize, cores: usize| {
        let mut same = answer.table.iter();
        same.find(|c| (c.blocks, c.cores_per_plot) == (blocks, cores))
            .map_or(NONE.to_owned(), |c| percent(c.power))
    };
    blocks
        .into_iter()
        .map(|b| {
            let cells = answer
                .assumptions
                .request
                .cores_per_plot
                .iter()
                .map(|&c| power(b, c));
            std::iter::once(b.to_string()).chain(cells).collect()
        })
        .collect()
}
