//! Tables of the main part.

use maud::{Markup, html};

use super::Findings;
use super::page::{heads, table};
use crate::text::rounding::{NONE, between, change, figure, maybe};

/// Plots and means of every treatment, per core and per square metre.
pub(super) fn means(findings: &Findings<'_>) -> Markup {
    let rows: Vec<Vec<String>> = findings
        .judgement
        .means
        .iter()
        .map(|m| {
            let plots: Vec<_> = findings
                .data
                .plots
                .iter()
                .filter(|p| p.treatment == m.treatment)
                .collect();
            vec![
                findings.name(&m.treatment).to_owned(),
                plots.len().to_string(),
                plots.iter().map(|p| p.cores).sum::<usize>().to_string(),
                plots.iter().map(|p| p.count).sum::<u64>().to_string(),
                figure(findings.core_mean(m.mean)),
                figure(m.mean),
                format!(
                    "{} to {}",
                    maybe(m.low),
                    m.high.map_or("no limit".to_owned(), figure)
                ),
            ]
        })
        .collect();
    let names = [
        "treatment",
        "plots",
        "cores",
        "counted",
        "mean per core",
        "mean per m²",
        "likely between, per m²",
    ];
    table("Means", &heads(&names), &rows)
}

/// Every method against the control.
pub(super) fn changes(findings: &Findings<'_>) -> Markup {
    let rows: Vec<Vec<String>> = findings
        .judgement
        .contrasts
        .iter()
        .map(|c| {
            vec![
                format!(
                    "{} against {}",
                    findings.name(&c.treatment),
                    findings.name(&c.control)
                ),
                c.ratio_as_counted.map_or(NONE.to_owned(), change),
                c.ratio.map_or(NONE.to_owned(), change),
                between(c.told_low(), c.told_high()),
                maybe(c.ratio),
                format!(
                    "{} to {}",
                    maybe(c.low),
                    c.high.map_or("no limit".to_owned(), figure)
                ),
            ]
        })
        .collect();
    let names = [
        "comparison",
        "as counted",
        "estimate",
        "likely between",
        "ratio",
        "interval of the ratio",
    ];
    table("Change against the control", &heads(&names), &rows)
}

/// Plans for next season.
pub(super) fn plans(findings: &Findings<'_>) -> Markup {
    let next = findings.next;
    html! {
        @if !next.plans.is_empty() {
            (table("Chance of finding what is worth having", &next.heads, &next.plans))
        }
    }
}
