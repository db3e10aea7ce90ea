//! What anyone needs to repeat the draw and the analysis.

use halfgreen_analysis::random::Generator;

use super::WhatWasRead;
use super::document::{Section, Text};
use super::head::in_full;
use super::papers::Papers;
use crate::Warning;
use crate::design::{CHANGED_BESIDE, NOT_AS_SEALED, Protocol, Response, Seal};

/// The section: protocol, seal, seed, generator, version, digests, and the command that makes the report again.
pub(super) fn section(papers: &Papers<'_>) -> Section {
    let mut rows: Vec<(String, Text)> = Vec::new();
    let mut add = |name: &str, value: Text| rows.push((name.to_owned(), value));
    for (name, value) in in_full(&papers.protocol.trial).chain(asked(papers.protocol)) {
        add(name, value.into());
    }
    for (name, value) in papers.seal.map(sealed).unwrap_or_default() {
        add(name, value.into());
    }
    add("As sealed?", as_sealed(papers.seal, papers.warnings).into());
    for (name, value) in what_was_read(papers.read) {
        add(&name, value.into());
    }
    for part in papers.read {
        add(
            &format!("Digest of {} (SHA-256)", part.file),
            Text::default().code(part.digest.as_str()),
        );
    }
    let analysis = format!(
        "halfgreen {}, seed of sampled allocations {}, generator {}",
        env!("CARGO_PKG_VERSION"),
        papers.seed,
        Generator::NAME
    );
    add("Analysis", analysis.into());
    Section::new("record", "Record")
        .record(rows)
        .paragraph(
            "In the folder that holds these files, this makes the report again, byte for byte:",
        )
        .typed(format!("halfgreen report . --seed {}", papers.seed))
}

/// What the protocol says.
fn asked(protocol: &Protocol) -> Vec<(&'static str, String)> {
    let plot = protocol.plot;
    let kind = protocol.design.kind.facts();
    let mut all = vec![
        ("Question", protocol.trial.question.clone()),
        (
            "Design",
            format!("{}, {}", kind.name, kind.counted(protocol.design.blocks)),
        ),
        (
            "Plots",
            format!(
                "{} m × {} m, guard strip {} m",
                plot.length_m, plot.width_m, plot.guard_m
            ),
        ),
        taken(&protocol.response),
    ];
    if let Some(date) = protocol.trial.date {
        all.push(("Laid out", date.to_string()));
    }
    for occasion in &protocol.occasions {
        let date = occasion
            .date
            .map_or("no date written".to_owned(), |d| d.to_string());
        all.push(("Occasion", format!("{}: {date}", occasion.name)));
    }
    if let Some(limit) = protocol.decision.threshold_per_m2 {
        all.push(("The club's own threshold", format!("{limit} per m²")));
    }
    all
}

/// Which settings and columns were read, file by file, and which were not.
fn what_was_read(read: &[WhatWasRead]) -> Vec<(String, String)> {
    let mut all = Vec::new();
    for part in read.iter().filter(|part| !part.read.is_empty()) {
        all.push((format!("Read of {}", part.file), part.read.join(", ")));
    }
    for part in read.iter().filter(|part| !part.unread.is_empty()) {
        all.push((format!("Not used of {}", part.file), part.unread.join(", ")));
    }
    all
}

/// What was counted or read, and how often in each plot.
fn taken(response: &Response) -> (&'static str, String) {
    let (name, places) = (&response.name, response.cores_per_plot);
    if response.kind.is_count() {
        let area = response.core_area_m2;
        (
            "Counted",
            format!(
                "{name}, {} of {area:.5} m² planned in each plot",
                response.sample.number(places)
            ),
        )
    } else {
        let times = if places == 1 { "place" } else { "places" };
        (
            "Read",
            format!(
                "{name} ({}), {places} {times} planned in each plot",
                response.unit
            ),
        )
    }
}

fn sealed(seal: &Seal) -> Vec<(&'static str, String)> {
    let mut rows = vec![
        (
            "Sealed",
            format!("{} with halfgreen {}", seal.time, seal.halfgreen),
        ),
        (
            "Drawn with",
            format!("seed {}, generator {}", seal.seed, seal.generator),
        ),
        ("Allocations", seal.allocations.clone()),
        ("Leading test, as sealed", seal.headline_test.clone()),
        (
            "Findings, as sealed",
            seal.findings
                .clone()
                .unwrap_or_else(|| "not written down".to_owned()),
        ),
        ("Digest of the seal (SHA-256)", seal.digest.clone()),
    ];
    rows.extend(
        (seal.verdict_about.iter())
            .map(|about| ("Verdict about, as sealed", about.replace('-', " "))),
    );
    rows
}

/// Whether protocol, outline and layout are those of the seal.
fn as_sealed(seal: Option<&Seal>, warnings: &[Warning]) -> String {
    if seal.is_none() {
        return "There is no seal: nobody can check that the draw came before the counting."
            .to_owned();
    }
    let of = |code: &str| -> Vec<&str> {
        let told = warnings.iter().filter(|w| w.code == code);
        told.map(|w| w.message.as_str()).collect()
    };
    let (grave, beside) = (of(NOT_AS_SEALED), of(CHANGED_BESIDE));
    let beside = beside.join(" ");
    match (grave.is_empty(), beside.is_empty()) {
        (true, true) => {
            "Yes: the seed gives this layout again, and protocol and outline have not changed."
                .to_owned()
        }
        (true, false) => format!("Yes in all that the verdict rests on. {beside}"),
        (false, _) => format!("No. {} {beside}", grave.join(" "))
            .trim_end()
            .to_owned(),
    }
}
