//! `report.html`: the verdict, the pictures, the numbers, next season, cautions; then the appendix.

use maud::{Markup, html};

use super::figures::Figure;
use super::page::{figure, page};
use super::{
    Findings, appendix, by_group, cautions, factors, method, secondary, tables, threshold,
};
use crate::Warning;
use crate::design::Trial;
use crate::judgement::{Verdict, headline};
use crate::text::rounding::{NONE, between, change};

/// The page.
pub(super) fn report(findings: &Findings<'_>, figures: &[Figure]) -> String {
    let trial = &findings.protocol.trial;
    let body = html! {
        (heading(trial))
        main {
            @for (i, verdict) in findings.judgement.verdicts.iter().enumerate() {
                (told(findings, i, verdict))
            }
            p { (method::basis_in_words(findings)) }
            nav aria-label="Parts of this report" { ul {
                @for (id, name) in parts(findings) { li { a href={ "#" (id) } { (name) } } }
            } }
            section id="how-much" { h2 { "How much, and how sure" } (figure(figures, "ratio")) }
            (factors::section(findings))
            section id="plan" { h2 { "Where the plots lay" } (figure(figures, "map")) }
            section id="counts" { h2 { "What was counted" } (figure(figures, "counts")) (tables::means(findings)) (tables::changes(findings)) }
            (threshold::section(findings))
            (by_group::section(findings))
            (secondary::as_treated(findings))
            (secondary::occasions(findings))
            (secondary::stages_and_reference(findings))
            (notes(findings.warnings))
            (next_season(findings, figures))
            (cautions::section(findings.protocol))
            (appendix::appendix(findings))
        }
        (footer())
    };
    page(&trial.title, "report", &body)
}

/// The parts that this report has.
fn parts(findings: &Findings<'_>) -> Vec<(&'static str, String)> {
    let found = findings.judgement;
    let over_time = !found.occasions.is_empty() || found.change_from_baseline.is_some();
    let between = by_group::heading(findings).unwrap_or_default();
    let all = [
        ("how-much", "How much, and how sure", true),
        ("factors", "Each factor", !found.factors.is_empty()),
        ("plan", "Plan", true),
        ("counts", "Counts", true),
        ("threshold", threshold::HEADING, found.threshold.is_some()),
        ("by-group", &between, found.by_group.is_some()),
        ("happened", "What happened", found.as_treated.is_some()),
        ("occasions", "Over time", over_time),
        ("stages", "Stages", found.stages.is_some()),
        ("reference", "Reference", found.non_inferiority.is_some()),
        ("next-season", "Next season", true),
        ("cautions", "Cautions", true),
        ("appendix", "Appendix", true),
    ];
    let there = all.into_iter().filter(|(_, _, there)| *there);
    there.map(|(id, name, _)| (id, name.to_owned())).collect()
}

/// Title, question and place.
pub(super) fn heading(trial: &Trial) -> Markup {
    html! {
        header {
            h1 { (trial.title) }
            p.lead { (trial.question) @if let Some(site) = &trial.site { " " (site) "." } }
        }
    }
}

/// One verdict in a frame: call, sentences, and the three figures it comes down to.
fn told(findings: &Findings<'_>, i: usize, verdict: &Verdict) -> Markup {
    let row = findings.judgement.headline().nth(i);
    let several = findings.judgement.verdicts.len() > 1;
    html! {
        section.verdict aria-label="Verdict" {
            h2 {
                @if several { (capital(findings.name(&verdict.treatment))) ": " }
                (headline(verdict.call))
            }
            p { (sentence(&verdict.sentence)) }
            @if let Some(row) = row {
                dl.facts {
                    @if let Some(plain) = row.reads_otherwise() { div { dt { "as counted" } dd { (change(plain)) } } }
                    div { dt { @if row.reads_otherwise().is_some() { "estimate" } @else { "found" } }
                        dd { (row.ratio.map_or(NONE.to_owned(), change)) } }
                    div { dt { "likely between" } dd { (between(row.stated_low(), row.stated_high())) } }
                    div { dt { "worth having" } dd { (change(findings.judgement.worthwhile_ratio)) } }
                }
            }
        }
    }
}

/// What the reader must know of this trial.
pub(super) fn notes(warnings: &[Warning]) -> Markup {
    let warnings: Vec<&Warning> = warnings.iter().filter(|w| w.for_people()).collect();
    html! {
        @if !warnings.is_empty() {
            section id="notes" {
                h2 { "What to know of this trial" }
                ul { @for w in warnings {
                    li { (sentence(&w.message)) @if let Some(place) = &w.place { " (" code { (place) } ")" } }
                } }
            }
        }
    }
}

/// A text with a capital.
pub(super) fn capital(text: &str) -> String {
    let mut letters = text.chars();
    let first: String = letters
        .next()
        .into_iter()
        .flat_map(char::to_uppercase)
        .collect();
    first + letters.as_str()
}

/// A message with a capital and a full stop.
pub(super) fn sentence(message: &str) -> String {
    let end = if message.ends_with(['.', '?', '!']) {
        ""
    } else {
        "."
    };
    capital(message) + end
}

fn next_season(findings: &Findings<'_>, figures: &[Figure]) -> Markup {
    let next = findings.next;
    html! {
        section id="next-season" {
            h2 { "What next season needs" }
            p { (sentence(&next.sentence)) }
            @if !next.notes.is_empty() { ul { @for note in &next.notes { li { (sentence(note)) } } } }
            (tables::plans(findings))
            (figure(figures, "power"))
        }
    }
}

/// What made the page.
pub(super) fn footer() -> Markup {
    html! {
        footer { p { "Made by halfgreen " (env!("CARGO_PKG_VERSION")) " from the trial's own files. "
            "Numbers at full precision: results.json." } }
    }
}
