//! Tables of the main part.

use super::Findings;
use super::document::Section;
use super::page::Column;
use super::page::Column::{Figures, Words};
use crate::judgement::MARGINAL_MEAN;
use crate::text::rounding::{NONE, change, figure, maybe};

/// Plots and means of every treatment, per core and per square metre.
pub(super) fn means(findings: &Findings<'_>, section: Section) -> Section {
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
                figure(m.marginal_mean),
                format!(
                    "{} to {}",
                    maybe(m.low),
                    m.high.map_or("no limit".to_owned(), figure)
                ),
            ]
        })
        .collect();
    let [one, several] = findings.protocol.response.sample.words();
    let mean = format!("mean per {one}");
    let names = [
        Words("treatment"),
        Figures("plots"),
        Figures(several),
        Figures("counted"),
        Figures(&mean),
        Figures("mean per m²"),
        Figures("marginal mean per m²"),
        Figures("likely between, per m²"),
    ];
    section.table("Means", &names, rows).paragraph(format!(
        "The {MARGINAL_MEAN}. The limits are those of this mean."
    ))
}

/// Every method against the control.
pub(super) fn changes(findings: &Findings<'_>, section: Section) -> Section {
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
                c.change_in_words(),
                c.range_in_words(),
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
        Words("comparison"),
        Figures("as counted"),
        Figures("estimate"),
        Figures("likely between"),
        Figures("ratio"),
        Figures("interval of the ratio"),
    ];
    section.table("Change against the control", &names, rows)
}

/// Plans for next season.
pub(super) fn plans(findings: &Findings<'_>, section: Section) -> Section {
    let next = findings.next;
    let heads: Vec<Column<'_>> = next.heads.iter().map(|head| Figures(head)).collect();
    let caption = "Chance of finding what is worth having";
    section.table(caption, &heads, next.plans.clone())
}
