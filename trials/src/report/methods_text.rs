//! The methods of a trial as a text that can be pasted into a thesis or a report, with its references.

use super::document::{Part, Section};
use super::papers::Papers;
use super::{Findings, method, references};
use crate::design::{Occasion, Role, Treatment};

/// The section of a trial of counts.
pub(super) fn section(findings: &Findings<'_>) -> Section {
    let papers = findings.papers();
    let taken = format!(
        "{} were taken in each plot, each of {:.5} m², and {} in them were counted",
        findings
            .protocol
            .response
            .sample
            .number(findings.protocol.response.cores_per_plot),
        findings.protocol.response.core_area_m2,
        findings.judgement.counted
    );
    let mut texts = vec![laid_out(&papers), drawn(&papers), counted(&papers, &taken)];
    texts.extend(method::analysis(findings));
    texts.push(made_with(&papers));
    whole(texts)
}

/// The section of a trial of readings; `analysis` is how they were analysed.
pub(super) fn of_readings(papers: &Papers<'_>, analysis: Vec<String>) -> Section {
    let response = &papers.protocol.response;
    let taken = format!(
        "{} ({}) was read at {} in each plot",
        response.name,
        response.unit,
        match response.cores_per_plot {
            1 => "one place".to_owned(),
            n => format!("{n} places"),
        }
    );
    let mut texts = vec![laid_out(papers), drawn(papers), counted(papers, &taken)];
    texts.extend(analysis);
    texts.push(made_with(papers));
    whole(texts)
}

fn whole(texts: Vec<String>) -> Section {
    let references = references::cited_in(&texts);
    let mut section = Section::new("method", "Methods, ready to paste").paragraphs(texts);
    if !references.is_empty() {
        section = section.paragraph("References");
        let listed = references.into_iter().map(Into::into).collect();
        section.push(Part::List(listed));
    }
    section
}

/// What was compared, where, in how many plots of which size.
fn laid_out(papers: &Papers<'_>) -> String {
    let protocol = papers.protocol;
    let facts = protocol.design.kind.facts();
    let on = protocol
        .trial
        .date
        .map_or(String::new(), |day| format!(" on {day}"));
    let greens = match papers.greens.len() {
        0 | 1 => "one green".to_owned(),
        n => format!("{n} greens"),
    };
    let methods: Vec<String> = protocol
        .treatments
        .iter()
        .map(|t: &Treatment| {
            let control = if t.control { ", the control" } else { "" };
            format!("{} ({}{control})", t.name, t.code)
        })
        .collect();
    format!(
        "The trial was laid out{on} on {greens} as {}, {}. Each of its {} plots measured {} m by {} m, with an untouched strip of \
         {} m round it. Treatments were {}.",
        facts.name,
        facts.counted(protocol.design.blocks),
        papers.layout.names().len(),
        protocol.plot.length_m,
        protocol.plot.width_m,
        protocol.plot.guard_m,
        methods.join("; ")
    )
}

/// How treatments came to the plots.
fn drawn(papers: &Papers<'_>) -> String {
    match papers.seal {
        Some(seal) => format!(
            "Treatments were given to the plots at random, by a seeded generator (seed {}, {}), from {} allocations that the design \
             allowed. Protocol, outline and layout were sealed with a digest (SHA-256) on {}, as were the test on which the \
             verdict rests ({}) and the error rate.{}",
            seal.seed,
            seal.generator,
            seal.allocations,
            seal.time,
            seal.headline_test,
            if papers.differences.is_empty() {
                ""
            } else {
                " Deviations from what was sealed are listed with the results."
            }
        ),
        None => {
            "How treatments were given to the plots is not on file: there is no seal.".to_owned()
        }
    }
}

/// What was counted or read, and when.
fn counted(papers: &Papers<'_>, taken: &str) -> String {
    let role = |o: &Occasion| match o.role {
        Role::Before => "before treatment",
        Role::Main if papers.protocol.response.kind.is_count() => "the count that decides",
        Role::Main => "the reading that decides",
        Role::FollowUp => "a later one",
    };
    let each: Vec<String> = papers
        .protocol
        .occasions
        .iter()
        .map(|o| {
            let day = o.date.map_or(String::new(), |day| format!(", {day}"));
            format!("{} ({}{day})", o.name, role(o))
        })
        .collect();
    let occasions = if each.len() == 1 {
        "occasion"
    } else {
        "occasions"
    };
    let blind = papers
        .reporting
        .of("counted_blind")
        .map_or(String::new(), |said| {
            let end = if said.ends_with(['.', '!', '?']) {
                ""
            } else {
                "."
            };
            format!(" {said}{end}")
        });
    format!(
        "By the protocol, {taken}, on {} {occasions}: {}.{blind}",
        each.len(),
        each.join("; ")
    )
}

/// What it was analysed with.
fn made_with(papers: &Papers<'_>) -> String {
    format!(
        "Analyses were made with Halfgreen {}; sampled allocations and simulations follow from seed {}.",
        env!("CARGO_PKG_VERSION"),
        papers.seed
    )
}
