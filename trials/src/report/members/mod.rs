//! `members.html`: one sheet of A4 for people who play on the green.

mod cost;
mod meaning;
mod readings;
mod verdict;

pub(super) use readings::members_of_readings;

use maud::{Markup, html};

use super::figures::{Figure, are_joined};
use super::head::{self, Head, short_name};
use super::main_part::sentence;
use super::page::{captioned, figure, page};
use super::{Findings, NightCost, cautions, threshold};
use crate::Warning;
use crate::design::{CHANGED_BESIDE, Green, LAYOUT_CHANGED, Layout, NOT_AS_SEALED, Sample};
use crate::fieldwork::map::all_lettered;
use crate::judgement::{AsTreated, InteractionRow};
use crate::text::spelling::list;
use crate::trial_data::TrialData;

/// Methods from which on their answers are told in a line each.
const MANY: usize = 3;

/// Most methods whose answers the page has room to draw as well.
const PICTURED: usize = 6;

/// Most greens whose plans the page has room for.
const PLANS: usize = 2;

/// The page.
pub(super) fn members(findings: &Findings<'_>, figures: &[Figure]) -> String {
    // Names as long as the sheet has room for.
    let names = findings.data.names.iter().map(|name| short_name(name));
    let data = TrialData {
        names: names.collect(),
        ..findings.data.clone()
    };
    let night = findings.night.map(|night| NightCost {
        names: night.names.iter().map(|name| short_name(name)).collect(),
        ..night.clone()
    });
    let rest = head::rest(
        &findings.protocol.trial,
        head::SHEET,
        findings.data.names.iter(),
    );
    let short = Findings {
        data: &data,
        night: night.as_ref(),
        ..*findings
    };
    sheet(&short, figures, rest)
}

/// The sheet. `rest` tells where that is which it has no room for.
fn sheet(findings: &Findings<'_>, figures: &[Figure], rest: Option<&str>) -> String {
    let trial = Head::of(&findings.protocol.trial, head::SHEET);
    let found = findings.judgement;
    let body = html! {
        (members_header(&trial))
        main {
            section { h2 { "What we asked" } p { (trial.question) } p { (done(findings)) } }
            @if found.verdicts.len() <= PICTURED {
                // Several answers stand beside their picture.
                div.answers { (verdict::verdicts(findings)) (figure(figures, "left")) }
            } @else {
                (verdict::verdicts(findings))
            }
            @if let Some(changed) = changed(findings.warnings) { p { (changed) } }
            @for both in &found.interactions { p { (together(findings, both)) } }
            @if let Some(second) = &found.as_treated { p { (uncovered(second)) } }
            @if let Some(carried) = carried(findings) { p { (carried) } }
            @if let Some(lasted) = &found.treatment_by_occasion { (verdict::beside(lasted.sentence.plain())) }
            (pictures(findings, figures))
            div.closing {
                section { h2 { "How sure are we?" } p { (verdict::how_sure(found.alpha, found.verdicts.iter().map(|v| v.call), "count")) } }
                section { h2 { "What it means" } p { (meaning::meaning(findings, carried(findings).is_some())) } (threshold::members(findings)) @if !findings.next.plain.is_empty() { p { "Next season: " (sentence(&findings.next.plain)) } } }
                @if let Some(night) = findings.night { section { h2 { "What does it cost?" } p { (cost::cost(night)) } } }
                section { h2 { "While a trial lies on " (ground(findings.layout)) }
                    p { "Please keep off sheets, pegs and marked plots, and leave weights where they are. " (cautions::LAST) } }
            }
        }
        (members_footer(rest))
    };
    // Several answers and long names take room, and all of it must stand on one sheet.
    let class = match (found.verdicts.len(), rest.is_some()) {
        (0 | 1, false) => "members",
        (0 | 1, true) | (2..=PICTURED, false) => "members many",
        _ => "members many crowded",
    };
    page(&trial.title, class, &body)
}

/// Title and site.
fn members_header(trial: &Head) -> Markup {
    html! {
        header { h1 { (trial.title) } @if let Some(site) = &trial.site { p.lead { (site) } } }
    }
}

/// What made the page, and where more is.
fn members_footer(rest: Option<&str>) -> Markup {
    html! {
        footer { p { "Made by halfgreen " (env!("CARGO_PKG_VERSION")) " from what was laid out and counted. "
            "All figures are in the full report." @if let Some(rest) = rest { " " (rest) } } }
    }
}

/// The green from above and every plot's count, side by side where there is room.
fn pictures(findings: &Findings<'_>, figures: &[Figure]) -> Markup {
    let plans = figures.iter().filter(|f| f.is_called("map")).count();
    let sample = findings.protocol.response.sample.plain(1);
    let plots = &findings.data.plots;
    let joined = if are_joined(plots.len()) && plots.iter().any(|p| p.block.is_some()) {
        " Thin lines join plots that were compared with each other."
    } else {
        ""
    };
    let dots = format!(
        "Each mark is one plot: how many we counted in {sample}, on average.{joined} Thick bars are the means."
    );
    html! {
        div.pair {
            @if plans <= PLANS {
                (captioned(figures, "map", &from_above(findings.greens, findings.layout, "counted")))
            }
            (captioned(figures, "counts", &dots))
        }
        @if plans > PLANS { p { "Plans of all " (plans) " greens are in the full report." } }
    }
}

/// What the plans show.
fn from_above(greens: &[Green], layout: &Layout, counted: &str) -> String {
    let lettered = |green: &Green| match &green.name {
        None => all_lettered(&green.outline, layout),
        Some(name) => all_lettered(&green.outline, &layout.on_green(name)),
    };
    if greens.iter().all(lettered) {
        format!(
            "From above: the number of each plot, the letter of what it got, and what we {counted} there."
        )
    } else {
        format!(
            "From above: what each plot got, and where there is room its number and what we {counted} there."
        )
    }
}

/// What was done, in two sentences.
fn done(findings: &Findings<'_>) -> Markup {
    let units = findings.judgement.units;
    let of_them = match &findings.judgement.crossover {
        Some(turns) => format!("them over {} nights", turns.nights.len()),
        None if units.plots == findings.layout.names().len() => "all of them".to_owned(),
        None => format!("{} of them", units.plots),
    };
    html! {
        "We marked " (findings.layout.names().len()) " plots on " (ground(findings.layout)) " and drew lots for what each one got: "
        (list(&findings.data.names)) ". Afterwards we " (looked(findings)) " "
        (of_them) " and counted " (units.total) " (" (findings.judgement.counted) ")."
    }
}

/// What was done to count: turf is taken out, a marked square is only looked at.
fn looked(findings: &Findings<'_>) -> String {
    let (sample, n) = (
        findings.protocol.response.sample,
        findings.judgement.units.subsamples,
    );
    match sample {
        Sample::Core => format!("took {} from", sample.plain(n)),
        Sample::Quadrat | Sample::Reading => format!("looked at {} in", sample.plain(n)),
    }
}

/// What was changed since the plan was sealed, or keeps anyone from checking it; nothing where all is as agreed.
fn changed(warnings: &[Warning]) -> Option<&'static str> {
    let told = |code: &str| warnings.iter().any(|w| w.code == code);
    let layout = |w: &Warning| w.code == NOT_AS_SEALED && w.message.starts_with(LAYOUT_CHANGED);
    if warnings.iter().any(layout) {
        Some(
            "The list of plots is no longer the one on which the lots were drawn. Until somebody explains why, read the \
             answer with care.",
        )
    } else if told(NOT_AS_SEALED) {
        Some(
            "What had been agreed before the counting was changed afterwards, in a way that may change the answer. Read it \
             with care.",
        )
    } else if told("counted-before-sealed") {
        Some(
            "Some counts are dated before the lots were drawn. Until somebody explains why, read the answer with care.",
        )
    } else if told("no-seal") {
        Some(
            "There is no record that the lots were drawn before the counting, so that others have to take our word for it.",
        )
    } else if told(CHANGED_BESIDE) {
        Some(
            "Something in the plan was changed after it had been agreed, but nothing on which the answer rests.",
        )
    } else {
        None
    }
}

/// "the green", or "the greens" where plots lie on several.
pub(super) fn ground(layout: &Layout) -> &'static str {
    let first = layout.plots.first().map(|p| &p.green);
    if layout.plots.iter().all(|p| Some(&p.green) == first) {
        "the green"
    } else {
        "the greens"
    }
}

/// What wind or people did to plots, and whether it would have changed the answer.
fn uncovered(second: &AsTreated) -> String {
    let plots: Vec<String> = second.plots.iter().map(|t| t.plot.clone()).collect();
    let one = plots.len() == 1;
    format!(
        "{} {} did not stay as laid out. What is said above counts {} as drawn, as was agreed before.",
        if one { "Plot" } else { "Plots" },
        list(&plots),
        if one { "it" } else { "them" }
    )
}

/// Whether two factors did more or less together; a hint at most, for no verdict rests on it.
fn together(findings: &Findings<'_>, both: &InteractionRow) -> String {
    let [first, second] = &both.factors;
    match both.ratio {
        Some(ratio) if both.p_model <= findings.judgement.alpha => {
            let good = findings.data.question.is_good(ratio);
            format!(
                "It looks as if {first} did {} good together with {second} than alone. That is a hint, not an answer.",
                if good { "more" } else { "less" }
            )
        }
        _ => format!(
            "Nothing shows that {first} did more or less good together with {second} than alone. That does not mean that \
             it makes no difference."
        ),
    }
}

/// Plots of which one alone would change an answer, if there are any; of several methods, with the one that it is about where
/// it is only one.
fn carried(findings: &Findings<'_>) -> Option<String> {
    let left_out = &findings.judgement.diagnostics.leave_one_out;
    let carrying: Vec<_> = left_out
        .iter()
        .filter(|l| !l.influential_plots.is_empty())
        .collect();
    let mut plots: Vec<String> = Vec::new();
    for plot in carrying.iter().flat_map(|l| &l.influential_plots) {
        if !plots.contains(&plot.plot) {
            plots.push(plot.plot.clone());
        }
    }
    let answer = match carrying.as_slice() {
        [one] if left_out.len() > 1 => {
            format!("The answer on {}", findings.data.name_of(&one.treatment))
        }
        _ => "The answer".to_owned(),
    };
    Some(match plots.as_slice() {
        [] => return None,
        [one] => {
            format!("{answer} hangs on plot {one}: without it we would have said something else.")
        }
        [first @ .., last] if first.len() < 4 => format!(
            "{answer} hangs on single plots: without plot {} or {last} we would have said something else.",
            first.join(", ")
        ),
        several => format!(
            "{answer} hangs on single plots: leave out any one of {} of them, and we would have said something else.",
            several.len()
        ),
    })
}
