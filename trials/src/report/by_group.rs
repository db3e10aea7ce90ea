//! Greens, or blocks with several plots of a treatment: the effect on each, and the other question.

use maud::{Markup, html};

use super::Findings;
use super::main_part::{capital, sentence};
use super::page::Column::{Figures, Words};
use super::page::table;
use crate::judgement::{ByGroup, GroupRow};
use crate::text::rounding::{NONE, between, chance, change, figure};

/// Heading of the part, and its name among the parts; absent where there are no groups.
pub(super) fn heading(findings: &Findings<'_>) -> Option<String> {
    let found = findings.judgement.by_group.as_ref()?;
    let one = found.group.one();
    Some(format!("From {one} to {one}"))
}

/// The part of the report.
pub(super) fn section(findings: &Findings<'_>) -> Markup {
    html! {
        @if let Some(found) = &findings.judgement.by_group {
            section id="by-group" {
                h2 { (heading(findings).unwrap_or_default()) }
                p { (sentence(&found.sentence)) }
                @if !found.rows.is_empty() { (rows(findings, found)) }
                @for spread in &found.spread { p { (sentence(&spread.sentence)) } }
                @if let Some(other) = &found.other {
                    p { (sentence(&other.sentence)) }
                    ul { @for described in &other.descriptions { li { (sentence(described)) } } }
                }
            }
        }
    }
}

/// Every method on every green.
fn rows(findings: &Findings<'_>, found: &ByGroup) -> Markup {
    let row = |r: &GroupRow| {
        vec![
            r.name().to_owned(),
            findings.name(&r.treatment).to_owned(),
            format!("{} in {}", r.counted[0], r.plots[0]),
            format!("{} in {}", r.counted[1], r.plots[1]),
            r.ratio.map_or(NONE.to_owned(), change),
            between(r.low, r.high),
        ]
    };
    let one = found.group.one();
    let names = [
        Words(one),
        Words("method"),
        Figures("counted, in plots of it"),
        Figures("in plots of the control"),
        Figures("change"),
        Figures("likely between"),
    ];
    let rows: Vec<Vec<String>> = found.rows.iter().map(row).collect();
    html! {
        (table(&format!("Each {one} by itself"), &names, &rows))
        p { "Limits for each " (one) " alone, described and not tested: with few plots they are wide." }
    }
}

/// How far effects differ, for the appendix.
pub(super) fn spread(findings: &Findings<'_>) -> Markup {
    html! {
        @if let Some(found) = findings.judgement.by_group.as_ref().filter(|f| !f.spread.is_empty()) {
            section {
                h3 { (capital(&format!("how far effects differ between {}", found.group.several()))) }
                (table("Standard deviation of the log ratio", &[
                    Words("method"), Figures("SD"), Figures("interval"), Figures("F"), Figures("df"), Figures("p"),
                ], &found.spread.iter().map(|s| vec![
                    findings.name(&s.treatment).to_owned(),
                    figure(s.sd),
                    format!("{} to {}", figure(s.low), s.high.map_or("no limit".to_owned(), figure)),
                    figure(s.f),
                    format!("{}, {}", s.df[0], s.df[1]),
                    chance(s.p),
                ]).collect::<Vec<_>>()))
                p { "F: mean square of treatment by " (found.group.one()) " over that of plots, on the transformed scale. Interval: the \
                    ratios of the two variances at which it is no unlikely F (Wald 1940), brought to the log ratio by the slope of \
                    the transformation." }
            }
        }
    }
}
