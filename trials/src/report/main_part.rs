//! `report.html`: the verdict, the pictures, the numbers, next season, cautions; then the appendix.

use super::document::{Document, Part, Role, Section, Text};
use super::head::{Head, REPORT};
use super::papers::Papers;
use super::{
    Findings, appendix, by_group, cautions, checklist, deviations, factors, ground, happenings,
    method, secondary, tables, threshold,
};
use crate::Warning;
use crate::judgement::{Verdict, headline};

/// The report of a trial of counts.
pub(super) fn report(findings: &Findings<'_>) -> Document {
    let papers = findings.papers();
    let verdicts = findings.judgement.verdicts.iter().enumerate();
    let mut sections: Vec<Section> = verdicts
        .map(|(i, verdict)| told(findings, i, verdict))
        .collect();
    let rest = [
        Some(
            Section::new("how-much", "How much, and how sure")
                .paragraph(method::basis_in_words(findings))
                .figure("ratio"),
        ),
        factors::section(findings),
        Some(plan()),
        Some(counts(findings)),
        threshold::section(findings),
        by_group::section(findings),
        happenings::section(findings),
        secondary::occasions(findings),
        secondary::stages(findings),
        secondary::reference(findings),
        ground::section(findings),
        Some(deviations::section(&papers)),
        notes(findings.warnings),
        Some(next_season(findings)),
        Some(cautions::section(findings.protocol)),
        Some(appendix::appendix(findings)),
    ];
    sections.extend(rest.into_iter().flatten());
    document(&papers, sections)
}

/// A report with the head and the foot that all reports have.
pub(super) fn document(papers: &Papers<'_>, sections: Vec<Section>) -> Document {
    let trial = Head::of(&papers.protocol.trial, REPORT);
    let lead = match &trial.site {
        Some(site) => format!("{} {}", trial.question, sentence(site)),
        None => trial.question,
    };
    Document {
        title: trial.title,
        lead,
        sections,
        footer: format!(
            "Made by halfgreen {} from the trial's own files. Numbers at full precision: results.json.",
            env!("CARGO_PKG_VERSION")
        ),
    }
}

/// The papers of a trial that stand at the end of its appendix.
pub(super) fn papers_told(papers: &Papers<'_>) -> Vec<Section> {
    let mut sections = checklist::sections(papers);
    sections.push(super::record::section(papers));
    sections
}

/// Where the plots lay.
pub(super) fn plan() -> Section {
    Section::new("plan", "Where the plots lay").figure("map")
}

/// What was counted.
fn counts(findings: &Findings<'_>) -> Section {
    let section = Section::new("counts", "What was counted").figure("counts");
    let section = tables::changes(findings, tables::means(findings, section));
    section.paragraph(
        Text::default()
            .words("Every plot stands under ")
            .link("plots", "Plots")
            .words(", every count as it was written down under ")
            .link("raw-counts", "Raw counts")
            .words("."),
    )
}

/// One verdict: call, sentences, and the three figures it comes down to.
fn told(findings: &Findings<'_>, i: usize, verdict: &Verdict) -> Section {
    let row = findings.judgement.headline().nth(i);
    let several = findings.judgement.verdicts.len() > 1;
    let call = headline(verdict.call);
    let heading = if several {
        format!("{}: {call}", capital(findings.name(&verdict.treatment)))
    } else {
        call.to_owned()
    };
    let mut section = Section::new("verdict", heading)
        .of_role(Role::Verdict)
        .paragraph(sentence(&verdict.sentence));
    if let Some(row) = row {
        let otherwise = row.reads_otherwise();
        let plain = otherwise.map(|ratio| ("as counted", row.changes().change(ratio)));
        let name = if plain.is_some() { "estimate" } else { "found" };
        let facts = plain.into_iter().chain([
            (name, row.change_in_words()),
            ("likely between", row.range_in_words()),
            ("worth having", row.changes().change(row.worthwhile_ratio)),
        ]);
        section.push(Part::Facts(
            facts
                .map(|(name, value)| (name.to_owned(), value))
                .collect(),
        ));
    }
    section
}

/// What the reader must know of this trial; nothing where there is nothing.
pub(super) fn notes(warnings: &[Warning]) -> Option<Section> {
    let told = warnings.iter().filter(|w| w.for_people()).map(|w| {
        let said: Text = sentence(&w.message).into();
        match &w.place {
            Some(place) => said.words(" (").code(place.as_str()).words(")"),
            None => said,
        }
    });
    let section = Section::new("notes", "What to know of this trial").list(told);
    (!section.parts.is_empty()).then_some(section)
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

fn next_season(findings: &Findings<'_>) -> Section {
    let next = findings.next;
    let section = Section::new("next-season", "What next season needs")
        .paragraph(sentence(&next.sentence))
        .list(next.notes.iter().map(|note| Text::marked(&sentence(note))));
    tables::plans(findings, section).figure("power")
}
