//! `judge` for people: the verdicts, then the numbers behind them.

use std::fmt::Write;

use halfgreen_analysis::comparison::{Call, PrimaryTest, largest_attainable_p, primary_test};

use super::super::show::{BAD, DOUBTFUL, GOOD};
use super::second;
use crate::judgement::{Judgement, headline};
use crate::text::rounding::{chance, figure, maybe, maybe_chance, step};
use crate::text::spelling::number;
use crate::trial_data::TrialData;

/// The verdicts and what they rest on.
pub(in crate::terminal) fn told(found: &Judgement) -> String {
    let mut text = String::new();
    for verdict in &found.verdicts {
        let style = match verdict.call {
            Call::BeatTheControl => GOOD,
            Call::DidWorse => BAD,
            Call::TooSmallToMatter | Call::CannotTell => DOUBTFUL,
        };
        let head = headline(verdict.call);
        push(
            &mut text,
            format_args!(
                "{style}{}: {head}{style:#}\n{}\n\n",
                verdict.treatment, verdict.sentence
            ),
        );
    }
    push(&mut text, format_args!("{}\n", basis(found)));
    text
}

/// The verdicts, then the numbers behind them.
pub(super) fn words(data: &TrialData, found: &Judgement) -> String {
    let mut text = told(found);
    text.push('\n');
    let per = if data.per == "m2" { "per m2" } else { data.per };
    push(
        &mut text,
        format_args!(
            "{:<16}{:>12}   likely between ({per})\n",
            "treatment", "mean"
        ),
    );
    for m in &found.means {
        push(
            &mut text,
            format_args!(
                "{:<16}{:>12}   {} and {}\n",
                m.treatment,
                figure(m.mean),
                maybe(m.low),
                maybe(m.high)
            ),
        );
    }
    push(
        &mut text,
        format_args!(
            "\n{:<16}{:>8}{:>18}{:>12}{:>12}\n",
            "method", "ratio", "likely between", "p model", "p draw"
        ),
    );
    for c in &found.contrasts {
        let between = format!("{} - {}", maybe(c.low), maybe(c.high));
        push(
            &mut text,
            format_args!(
                "{:<16}{:>8}{:>18}{:>12}{:>12}\n",
                c.treatment,
                maybe(c.ratio),
                between,
                chance(c.p_model_adjusted),
                maybe_chance(c.p_randomisation_adjusted)
            ),
        );
    }
    let k = found
        .dispersion
        .k
        .map_or("infinite (Poisson)".to_owned(), |k| format!("{k:.2}"));
    push(
        &mut text,
        format_args!(
            "\n{}, {}, {} counted; k of a plot's count {k}\n",
            plots(found),
            number(found.units.subsamples, "core"),
            found.units.total
        ),
    );
    text.push_str(&second::words(found));
    text
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
    match (&found.randomisation, found.lead) {
        (Some(r), PrimaryTest::Randomisation) => format!(
            "The verdict rests on the draw itself: treatments re-drawn {} ways{}; the smallest p it can reach is {}.",
            if r.exact { format!("all {:.0}", r.drawn) } else { format!("{:.0} of {}", r.drawn, ways(&r.allocations)) },
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

/// In how many ways treatments could have been drawn; beyond what can be written, so.
fn ways(allocations: &str) -> &str {
    if allocations.ends_with("inf") {
        "more than can be written"
    } else {
        allocations
    }
}

/// Writing into a text cannot fail.
fn push(text: &mut String, what: std::fmt::Arguments<'_>) {
    text.write_fmt(what).unwrap_or_default();
}
