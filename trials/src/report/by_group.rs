//! Greens, or blocks with several plots of a treatment: the effect on each, and the other question.

use super::Findings;
use super::document::Section;
use super::main_part::{capital, sentence};
use super::page::Column::{Figures, Words};
use crate::judgement::{ByGroup, GroupRow};
use crate::text::rounding::{NONE, between, chance, change, figure};

/// The part of the report; nothing where there are no groups.
pub(super) fn section(findings: &Findings<'_>) -> Option<Section> {
    let found = findings.judgement.by_group.as_ref()?;
    let one = found.group.one();
    let mut section = Section::new("by-group", format!("From {one} to {one}"))
        .paragraph(sentence(&found.sentence));
    if !found.rows.is_empty() {
        section = rows(findings, found, section);
    }
    section = section.paragraphs(found.spread.iter().map(|s| sentence(&s.sentence)));
    if let Some(other) = &found.other {
        section = section
            .paragraph(sentence(&other.sentence))
            .list(other.descriptions.iter().map(|d| sentence(d)));
    }
    Some(section)
}

/// Every method on every green.
fn rows(findings: &Findings<'_>, found: &ByGroup, section: Section) -> Section {
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
    section
        .table(&format!("Each {one} by itself"), &names, rows)
        .paragraph(format!(
            "Limits for each {one} alone, described and not tested: with few plots they are wide."
        ))
}

/// How far effects differ, for the appendix.
pub(super) fn spread(findings: &Findings<'_>) -> Option<Section> {
    let found = findings.judgement.by_group.as_ref();
    let found = found.filter(|f| !f.spread.is_empty())?;
    let names = [
        Words("method"),
        Figures("SD"),
        Figures("interval"),
        Figures("F"),
        Figures("df"),
        Figures("p"),
    ];
    let rows = found.spread.iter().map(|s| {
        let high = s.high.map_or("no limit".to_owned(), figure);
        vec![
            findings.name(&s.treatment).to_owned(),
            figure(s.sd),
            format!("{} to {high}", figure(s.low)),
            figure(s.f),
            format!("{}, {}", s.df[0], s.df[1]),
            chance(s.p),
        ]
    });
    let heading = format!("how far effects differ between {}", found.group.several());
    let section = Section::new("spread", capital(&heading))
        .table("Standard deviation of the log ratio", &names, rows.collect())
        .paragraph(format!(
            "F: mean square of treatment by {} over that of plots, on the transformed scale. Interval: the ratios of the two \
             variances at which it is no unlikely F (Wald 1940), brought to the log ratio by the slope of the transformation.",
            found.group.one()
        ));
    Some(section)
}
