//! What stands beside the verdict: later occasions, plots that changed, stages, a reference, doubts.

use maud::{Markup, html};

use super::Findings;
use super::main_part::{capital, sentence};
use super::method;
use super::page::Column::{Figures, Words};
use super::page::table;
use crate::judgement::{
    AsTreated, ChangeRow, ContrastRow, RULE_IN_WORDS, SECOND_ANSWER, Stages, headline,
};
use crate::text::rounding::{NONE, between, change, figure, maybe_chance, percent};

/// From before to after, and whether the effect lasted.
pub(super) fn occasions(findings: &Findings<'_>) -> Markup {
    let found = findings.judgement;
    let rows: Vec<Vec<String>> = found
        .occasions
        .iter()
        .map(|o| {
            vec![
                o.occasion.clone(),
                findings.name(&o.treatment).to_owned(),
                o.tested.ratio.map_or(NONE.to_owned(), change),
                between(o.tested.low, o.tested.high),
                o.call.map_or("described only", headline).to_owned(),
            ]
        })
        .collect();
    let names = [
        Words("occasion"),
        Words("method"),
        Figures("change"),
        Figures("likely between"),
        Words("verdict"),
    ];
    html! {
        @if !found.occasions.is_empty() || found.change_from_baseline.is_some() {
            section id="occasions" {
                h2 { @if found.treatment_by_occasion.is_some() { "Did it last?" } @else { "From before to after" } }
                @if over_time(findings) { p { (SECOND_ANSWER) } }
                @for c in found.change_from_baseline.iter().flatten() { p { (sentence(c.sentence.plain())) } }
                @if let Some(lasted) = &found.treatment_by_occasion { p { (sentence(lasted.sentence.plain())) } }
                @if !rows.is_empty() { (table("Each occasion against the control", &names, &rows)) }
            }
        }
    }
}

/// Whether anything is told of changes.
fn over_time(findings: &Findings<'_>) -> bool {
    findings.judgement.change_from_baseline.is_some()
        || findings.judgement.treatment_by_occasion.is_some()
}

/// The tests over time, for the appendix.
pub(super) fn tests_over_time(findings: &Findings<'_>) -> Markup {
    let found = findings.judgement;
    let before = found.change_from_baseline.iter().flatten();
    let later = found.treatment_by_occasion.iter().flat_map(|l| &l.changes);
    let moved: Vec<Vec<String>> = before.chain(later).map(|c| moved(findings, c)).collect();
    let on: Vec<Vec<String>> = found
        .occasions
        .iter()
        .map(|o| {
            let name = findings.name(&o.treatment).to_owned();
            vec![o.occasion.clone(), name, maybe_chance(o.tested.p_on_page)]
        })
        .collect();
    let heads_moved = [
        Words("from"),
        Words("to"),
        Words("method"),
        Figures("BACI ratio"),
        Figures("interval"),
        Figures("p on this page"),
    ];
    html! {
        @if !moved.is_empty() {
            section {
                h3 { "Over time" }
                @if let Some(lasted) = &found.treatment_by_occasion { p { (sentence(lasted.sentence.with_p())) } }
                @if !on.is_empty() { (table("Primary test on each occasion", &[Words("occasion"), Words("method"), Figures("p on this page")], &on)) }
                (table("Change from baseline and between occasions (BACI ratio)", &heads_moved, &moved))
                p { (RULE_IN_WORDS) " p on this page is the smallest error rate at which a second answer is a finding; without one it is \
                    a description." }
                p { "A second answer beside the verdict. Ratio: what the method's plots held later, over what they would have \
                    held had they changed as the control's did." @if let Some(several) = method::adjustment(&found.method) {
                    " Limits are adjusted for the number of methods: " (several) "." } }
            }
        }
    }
}

fn moved(findings: &Findings<'_>, c: &ChangeRow) -> Vec<String> {
    let times =
        |x: Option<f64>, none: &str| x.map_or(none.to_owned(), |x| format!("× {}", figure(x)));
    vec![
        c.from.clone(),
        c.to.clone(),
        findings.name(&c.treatment).to_owned(),
        times(c.tested.ratio, NONE),
        format!(
            "{} and {}",
            times(c.tested.low, "× 0"),
            times(c.tested.high, "no limit")
        ),
        maybe_chance(c.tested.p_on_page),
    ]
}

/// The second analysis beside the first, where plots did not keep what they were drawn to get.
pub(super) fn as_treated(findings: &Findings<'_>) -> Markup {
    let found = findings.judgement;
    html! {
        @if let Some(second) = &found.as_treated {
            section id="happened" {
                h2 { "Plots that did not stay as laid out" }
                p { (sentence(&second.sentence)) }
                (turned(findings, second))
                (table("As laid out, and by what happened",
                    &[Words("method"), Figures("as laid out"), Figures("likely between"), Figures("by what happened"), Figures("likely between")],
                    &beside(findings, second)))
                @for verdict in &second.verdicts { p { "By what happened: " (sentence(&verdict.sentence)) } }
                p { (sentence(&second.rule)) }
            }
        }
    }
}

/// The plots that changed.
fn turned(findings: &Findings<'_>, second: &AsTreated) -> Markup {
    let rows: Vec<Vec<String>> = second
        .plots
        .iter()
        .map(|t| {
            let counted = t.analysed_as.as_deref();
            vec![
                t.plot.clone(),
                t.event.clone(),
                percent(t.covered_fraction),
                findings.name(&t.randomised_to).to_owned(),
                counted.map_or("left out", |c| findings.name(c)).to_owned(),
            ]
        })
        .collect();
    let names = [
        Words("plot"),
        Words("what happened"),
        Figures("covered"),
        Words("drawn to get"),
        Words("counted as"),
    ];
    table("Plots that changed", &names, &rows)
}

/// Both analyses of every method, in the order of the first.
fn beside(findings: &Findings<'_>, second: &AsTreated) -> Vec<Vec<String>> {
    let told = |row: Option<&ContrastRow>| match row {
        Some(c) => [
            c.ratio.map_or(NONE.to_owned(), change),
            between(c.stated_low(), c.stated_high()),
        ],
        None => ["no plots left".to_owned(), NONE.to_owned()],
    };
    let first = findings.judgement.contrasts.iter();
    first
        .map(|c| {
            let same = second.contrasts.iter().find(|s| s.treatment == c.treatment);
            let mut row = vec![findings.name(&c.treatment).to_owned()];
            row.extend(told(Some(c)));
            row.extend(told(same));
            row
        })
        .collect()
}

/// How far the animals had come, and methods beside a reference.
pub(super) fn stages_and_reference(findings: &Findings<'_>) -> Markup {
    let found = findings.judgement;
    html! {
        @if let Some(stages) = &found.stages {
            section id="stages" {
                h2 { "Was it too late in the season?" }
                p { (sentence(&stages.sentence)) }
                (stage_table(findings, stages))
            }
        }
        @if let Some(reference) = &found.non_inferiority {
            section id="reference" {
                h2 { "Secondary " (findings.name(&reference.reference)) }
                @for row in &reference.rows { p { (sentence(&row.sentence)) } }
            }
        }
    }
}

fn stage_table(findings: &Findings<'_>, stages: &Stages) -> Markup {
    let rows: Vec<Vec<String>> = stages
        .rows
        .iter()
        .map(|r| {
            let name = r.treatment.as_ref().map_or("all", |t| findings.name(t));
            vec![
                name.to_owned(),
                r.larvae.to_string(),
                r.emerged.to_string(),
                r.share.map_or(NONE.to_owned(), percent),
                format!("{} and {}", percent(r.low), percent(r.high)),
            ]
        })
        .collect();
    let names = [
        Words("treatment"),
        Figures("larvae"),
        Figures("past it"),
        Figures("share past it"),
        Figures("likely between"),
    ];
    table("Stages", &names, &rows)
}

/// What speaks against the verdict, a sentence each.
pub(super) fn doubts(findings: &Findings<'_>) -> Markup {
    html! {
        section id="doubts" {
            h3 { "Can it be believed?" }
            ul { @for (method, said) in findings.judgement.diagnostics.sentences() {
                li { @if let Some(method) = method { (capital(findings.name(method))) ": " } (sentence(said)) }
            } }
        }
    }
}
