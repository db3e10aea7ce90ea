//! Parts of a plan in words, alike on the page and in the terminal.

use super::options::{Limits, OptionRow};
use super::result::SeasonPlan;
use super::schedule::{NightRow, PieceRow};
use crate::text::money::{about, gain, many, range};
use crate::text::rounding::{NONE, plain};

/// How far the plan reaches, in a sentence.
#[must_use]
pub fn reached(plan: &SeasonPlan) -> String {
    let reach = plan.reach;
    let share = if reach.of > 0.0 {
        100.0 * reach.worth / reach.of
    } else {
        0.0
    };
    let proof = if reach.proven {
        "no plan reaches more".to_owned()
    } else {
        format!(
            "no plan reaches more than {} %",
            plain((1000.0 * reach.bound / reach.of).ceil() / 10.0)
        )
    };
    let weighed = if plan.greens.iter().any(|g| g.priority != 1.0) {
        ", weighed by priority,"
    } else {
        ""
    };
    format!("Ground with {share:.0} % of all larvae{weighed} is covered; {proof}.")
}

/// What is covered on a night, as one text.
#[must_use]
pub fn covers(night: &NightRow) -> String {
    let name = |c: &PieceRow| {
        if c.of == 1 {
            c.green.clone()
        } else {
            format!("{} (piece {} of {})", c.green, c.piece, c.of)
        }
    };
    let all: Vec<String> = night.covers.iter().map(name).collect();
    if all.is_empty() {
        "nothing".to_owned()
    } else {
        all.join(", ")
    }
}

/// Nights in a row on which the same is covered by as many people.
#[derive(Debug, Clone)]
pub struct Run<'a> {
    /// The nights: "4", or "4 to 6"; with their dates where they have some.
    pub name: String,
    /// The first of them.
    pub night: &'a NightRow,
}

/// The nights of a plan, those that are alike and follow one another as one.
#[must_use]
pub fn runs(plan: &SeasonPlan) -> Vec<Run<'_>> {
    let same = |a: &NightRow, b: &NightRow| {
        a.covers == b.covers && (a.people, a.hours_available) == (b.people, b.hours_available)
    };
    plan.nights.chunk_by(same).filter_map(run).collect()
}

fn run(nights: &[NightRow]) -> Option<Run<'_>> {
    let (night, last) = (nights.first()?, nights.last()?);
    Some(Run {
        name: span(night, last),
        night,
    })
}

/// A night, or the first and the last of several.
fn span(first: &NightRow, last: &NightRow) -> String {
    let both = |a: &str, b: &str| {
        if a == b {
            a.to_owned()
        } else {
            format!("{a} to {b}")
        }
    };
    let numbers = both(&first.night.to_string(), &last.night.to_string());
    match (&first.date, &last.date) {
        (Some(from), Some(to)) => format!("{numbers} ({})", both(from, to)),
        _ => numbers,
    }
}

/// A number of larvae with its limits.
#[must_use]
pub fn larvae(of: Limits) -> String {
    match (of.estimate, of.low, of.high) {
        (Some(0.0), Some(0.0), Some(0.0)) | (None, ..) => NONE.to_owned(),
        (Some(estimate), low, high) => format!(
            "{} ({} to {})",
            many(estimate),
            low.map_or("no limit".to_owned(), many),
            high.map_or("no limit".to_owned(), many)
        ),
    }
}

/// Cost of a thousand removed with its limits.
#[must_use]
pub fn unit(of: Limits, currency: &str) -> String {
    match of.estimate {
        None if of.low.is_none() => NONE.to_owned(),
        _ => range(of.low, of.high, currency),
    }
}

/// What an option brings less what it costs.
#[must_use]
pub fn net(option: &OptionRow, currency: &str) -> String {
    option
        .net
        .map_or(NONE.to_owned(), |net| gain(net.low, net.high, currency))
}

/// What else there is to say of an option.
#[must_use]
pub fn remark(option: &OptionRow, currency: &str) -> String {
    match (&option.dominated_by, option.cost_per_further_1000) {
        (Some(by), _) => format!("dominated by {by}"),
        (None, Some(more)) => format!("each further 1 000: {}", about(more, currency)),
        (None, None) => String::new(),
    }
}
