//! `judge` for people: the verdicts, then the numbers behind them.

use halfgreen_analysis::comparison::{Call, PrimaryTest, largest_attainable_p, primary_test};

use super::super::{Line, Side, Status, Table, Words};
use super::beside;
use crate::judgement::{Judgement, headline};
use crate::text::rounding::{chance, figure, maybe, maybe_chance, step};
use crate::text::spelling::number;
use crate::threshold::Beside;
use crate::trial_data::TrialData;

/// The verdicts and what they rest on.
pub(in crate::commands) fn told(found: &Judgement) -> Words {
    let mut words = Words::default();
    for (at, verdict) in found.verdicts.iter().enumerate() {
        let status = match verdict.call {
            Call::BeatTheControl => Status::Good,
            Call::DidWorse => Status::Bad,
            Call::TooSmallToMatter | Call::CannotTell => Status::Doubtful,
        };
        let what = match found.factors.get(at) {
            Some(row) => format!("{} {}", row.factor, row.level),
            None => verdict.treatment.clone(),
        };
        let head = format!("{what}: {}", headline(verdict.call));
        words.paragraph([Line::told(status, head, ""), (&verdict.sentence).into()]);
    }
    words.paragraph(found.interactions.iter().map(|i| &i.sentence));
    words.paragraph([basis(found)]);
    words
}

/// The verdicts, then the numbers behind them.
pub(super) fn words(data: &TrialData, found: &Judgement) -> Words {
    let mut words = told(found);
    words.table(means(data, found));
    if !found.factors.is_empty() {
        words.table(factors(found));
    }
    words.table(contrasts(found));
    let k = found
        .dispersion
        .k
        .map_or("infinite (Poisson)".to_owned(), |k| format!("{k:.2}"));
    words.paragraph([format!(
        "{}, {}, {} counted; k of a plot's count {k}",
        plots(found),
        data.sample.number(found.units.subsamples),
        found.units.total
    )]);
    let threshold = found.threshold.iter().flat_map(Beside::sentences);
    words.section("beside your threshold", threshold);
    if let Some(groups) = &found.by_group {
        words.append(beside::by_group(groups));
    }
    words.append(beside::words(found));
    words
}

fn means(data: &TrialData, found: &Judgement) -> Table {
    let per = if data.per == "m2" { "per m2" } else { data.per };
    let mut table = Table::new([
        ("treatment", Side::Left),
        ("mean", Side::Right),
        ("marginal mean", Side::Right),
        (&format!("likely between ({per})"), Side::Left),
    ]);
    for m in &found.means {
        table.row([
            m.treatment.clone(),
            figure(m.mean),
            figure(m.marginal_mean),
            format!("{} and {}", maybe(m.low), maybe(m.high)),
        ]);
    }
    table
}

fn factors(found: &Judgement) -> Table {
    let mut table = Table::new([
        ("factor", Side::Left),
        ("ratio", Side::Right),
        ("likely between", Side::Right),
        ("p model", Side::Right),
        ("p draw", Side::Right),
    ]);
    for row in &found.factors {
        let c = &row.contrast;
        table.row([
            format!("{} {}", row.factor, row.level),
            maybe(c.ratio),
            format!("{} - {}", maybe(c.low), maybe(c.high)),
            chance(c.p_model_adjusted),
            maybe_chance(c.p_randomisation_adjusted),
        ]);
    }
    for i in &found.interactions {
        table.row([
            format!(
                "{} {} with {} {}",
                i.factors[0], i.levels[0], i.factors[1], i.levels[1]
            ),
            maybe(i.ratio),
            format!("{} - {}", maybe(i.low), maybe(i.high)),
            chance(i.p_model),
            String::new(),
        ]);
    }
    table
}

fn contrasts(found: &Judgement) -> Table {
    let mut table = Table::new([
        ("method", Side::Left),
        ("ratio", Side::Right),
        ("likely between", Side::Right),
        ("p model", Side::Right),
        ("p draw", Side::Right),
    ]);
    for c in &found.contrasts {
        table.row([
            c.treatment.clone(),
            maybe(c.ratio),
            format!("{} - {}", maybe(c.low), maybe(c.high)),
            chance(c.p_model_adjusted),
            maybe_chance(c.p_randomisation_adjusted),
        ]);
    }
    table
}

/// How many plots were compared; in a crossover over how many nights.
fn plots(found: &Judgement) -> String {
    match &found.crossover {
        Some(turns) => format!("{} plots over {} nights", turns.plots, turns.nights.len()),
        None => number(found.units.plots, "plot"),
    }
}

/// What the verdict rests on, in a sentence.
fn basis(found: &Judgement) -> String {
    if let Some(groups) = found.by_group.as_ref().filter(|g| g.like_these) {
        let (one, several) = (groups.group.one(), groups.group.several());
        return format!(
            "The verdict rests on a model of the counts and on how far the effect differs from {one} to {one}; the draw tells \
             only of these {several}."
        );
    }
    match (&found.randomisation, found.primary_test) {
        (Some(r), PrimaryTest::Randomisation) => format!(
            "The verdict rests on the draw itself: treatments re-drawn {} ways{}; the smallest p it can reach is {}.",
            if r.exact { format!("all {:.0}", r.drawn) } else { format!("{:.0} of {}", r.drawn, r.allocations.in_words()) },
            if r.exact { "" } else { " at random" },
            chance(r.smallest_p)
        ),
        // By its own p-values re-allocation could lead, but not once a method and the control
        // alone change places: the seal said so before anything was counted.
        (Some(r), PrimaryTest::Model) if primary_test(r.smallest_p, found.alpha) == PrimaryTest::Randomisation => {
            "The verdict rests on a model of the counts: in this layout too few plots could have changed places between \
             one method and the control alone."
                .to_owned()
        }
        (Some(r), PrimaryTest::Model) if r.smallest_p > found.alpha => format!(
            "The verdict rests on a model of the counts: with {} the draw alone could show nothing (smallest p {}).",
            plots(found),
            chance(r.smallest_p)
        ),
        (Some(r), PrimaryTest::Model) => format!(
            "The verdict rests on a model of the counts: with {} the draw alone is too coarse to lead (it leads where its \
             smallest p for one method is {} or less; here it is {}).",
            plots(found),
            step(largest_attainable_p(found.alpha)),
            step(r.smallest_p)
        ),
        (None, _) => "The verdict rests on a model of the counts: treatments were not drawn at random, so that a \
                      difference may come from where they lie."
            .to_owned(),
    }
}
