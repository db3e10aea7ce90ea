//! From this trial's judgement to what next season needs, for the report.

use crate::Error;
use crate::design::Better;
use crate::judgement::Judgement;
use crate::next_season::after_trial::AfterTrial;
use crate::next_season::follows::{Follows, Step};
use crate::next_season::next_trial::NextTrial;
use crate::next_season::pictures::power_curves;
use crate::progress::UNHEARD;
use crate::report::NextSeason;
use crate::text::rounding::{NONE, percent};

/// What next season needs, or why that cannot be said. A size is worked out only where the question is still open.
pub(super) fn next_season(after: &AfterTrial<'_>, judgement: &Judgement) -> NextSeason {
    let follows = after.follows();
    if follows.step != Step::SameQuestion {
        return told(format!("{}.", follows.sentence), follows.plain);
    }
    match sized(after, judgement, &follows) {
        Ok(next) => next,
        Err(e) => told(
            format!("No size can be suggested: {}.", e.what),
            unsized_in_plain(after, &follows),
        ),
    }
}

/// Why the members hear of no size.
fn unsized_in_plain(after: &AfterTrial<'_>, follows: &Follows) -> String {
    let why = match after.protocol.response.better {
        Better::More => {
            "This trial looked for more, and a size can be suggested only for trials that look for fewer."
        }
        Better::Fewer => "From these counts no size can be worked out for it.",
    };
    if follows.plain.is_empty() {
        format!("the same question again. {why}")
    } else {
        format!("{} {why}", follows.plain)
    }
}

/// An answer without a plan.
fn told(sentence: String, plain: String) -> NextSeason {
    NextSeason {
        sentence,
        notes: Vec::new(),
        plain,
        heads: Vec::new(),
        plans: Vec::new(),
        figure: None,
    }
}

fn sized(
    after: &AfterTrial<'_>,
    judgement: &Judgement,
    follows: &Follows,
) -> Result<NextSeason, Error> {
    let answer = after.usual_plan(judgement, UNHEARD)?;
    let sentences = [&follows.sentence, &answer.suggestion.sentence];
    let said: Vec<&str> = sentences
        .into_iter()
        .map(String::as_str)
        .filter(|s| !s.is_empty())
        .collect();
    Ok(NextSeason {
        sentence: said.join(". "),
        notes: notes(&answer),
        plain: plain(&answer, follows),
        heads: heads(&answer),
        plans: plans(&answer),
        figure: Some(power_curves(&answer)?),
    })
}

/// Cautions that the sentences say already, or that a report is not asked about.
const SAID: [&str; 3] = [
    "cost-not-priced",
    "power-not-reached",
    "parameters-poorly-known",
];

fn notes(answer: &NextTrial) -> Vec<String> {
    let mut notes = Vec::new();
    if let Some(cost) = answer.suggestion.plan.cost {
        let currency = answer.assumptions.currency.as_deref().unwrap_or_default();
        let cost = format!("Such a trial costs about {cost:.0} {currency}");
        notes.push(cost.trim_end().to_owned() + " at the prices of the protocol");
    }
    let cautions = answer.cautions.iter().filter(|c| !SAID.contains(&c.code));
    notes.extend(cautions.map(|c| c.message.clone()));
    notes.push(format!(
        "Worked out from the mean, the clumping and the differences between blocks that this trial found, by {} simulated \
         trials at most for each plan. `halfgreen next` shows more of it, and what other numbers would give",
        answer.assumptions.trials
    ));
    notes
}

/// The suggestion for members.
fn plain(answer: &NextTrial, follows: &Follows) -> String {
    let found = &answer.suggestion;
    let request = &answer.assumptions.request;
    let plots = found
        .room
        .as_ref()
        .map_or(found.plan.blocks * (request.methods + 1), |room| room.plots);
    let counted = format!(
        "{plots} plots with {} in each",
        request.terms.sample.plain(found.plan.cores_per_plot)
    );
    let (reduction, power) = (percent(request.reduction), 100.0 * found.plan.power);
    let told = if found.reached {
        format!(
            "a trial of {counted} would see a real reduction of {reduction} in about {:.0} of 100 such trials",
            100.0 * request.power
        )
    } else {
        format!(
            "no trial that we looked at would be sure enough: one of {counted} would see a real reduction of {reduction} \
             in about {power:.0} of 100 such trials"
        )
    };
    let doubt = if found.holds_only_as_estimated() {
        format!(
            ", if the larvae lie then as they lay now. One trial tells little of that; allowing for it, in about {:.0}",
            100.0 * found.assurance
        )
    } else {
        ", if the larvae lie then as they lay now".to_owned()
    };
    let alike = if answer
        .cautions
        .iter()
        .any(|c| c.code == "effect-taken-as-the-same")
    {
        " That takes the method to do as much on one green as on another. Where it does not, more greens tell more than more plots."
    } else {
        ""
    };
    let room = found
        .room
        .as_ref()
        .map_or(String::new(), |room| format!(" {}", room.plain));
    let open = if follows.plain.is_empty() {
        String::new()
    } else {
        format!("{} For that, ", follows.plain)
    };
    format!("{open}{told}{doubt}.{alike}{room}")
}

fn heads(answer: &NextTrial) -> Vec<String> {
    let request = &answer.assumptions.request;
    let cores = request.cores_per_plot.iter();
    let heads = cores.map(|n| format!("{} in each plot", request.terms.samples(*n)));
    std::iter::once(request.terms.plots_axis().to_owned())
        .chain(heads)
        .collect()
}

/// A row for each number of blocks, a column for each number of cores.
fn plans(answer: &NextTrial) -> Vec<Vec<String>> {
    let mut blocks: Vec<usize> = answer.table.iter().map(|c| c.blocks).collect();
    blocks.sort_unstable();
    blocks.dedup();
    let cell = |blocks: usize, cores: usize| {
        let mut same = answer.table.iter();
        same.find(|c| (c.blocks, c.cores_per_plot) == (blocks, cores))
    };
    let cores = &answer.assumptions.request.cores_per_plot;
    let row = |b: usize| {
        let powers = cores
            .iter()
            .map(|&c| cell(b, c).map_or(NONE.to_owned(), |c| percent(c.power)));
        let tight = cores
            .iter()
            .any(|&c| cell(b, c).is_some_and(|c| c.fits == Some(false)));
        let name = if tight {
            format!("{b} (no room)")
        } else {
            b.to_string()
        };
        std::iter::once(name).chain(powers).collect()
    };
    blocks.into_iter().map(row).collect()
}
