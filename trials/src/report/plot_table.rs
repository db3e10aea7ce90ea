//! Every count, so that others can work it out anew.

use super::Findings;
use super::document::Section;
use super::notes::{in_a_cell, is_cut};
use super::page::Column::{Figures, Words};
use crate::intake::Observation;
use crate::text::rounding::{NONE, figure};
use crate::trial_data::PlotCount;

/// One line for each plot that was compared.
pub(super) fn plots(findings: &Findings<'_>) -> Section {
    let ground = |p: &PlotCount| {
        let parts = [&p.block, &p.row, &p.column];
        let there: Vec<&str> = parts.into_iter().flatten().map(String::as_str).collect();
        if there.is_empty() {
            NONE.to_owned()
        } else {
            there.join(" / ")
        }
    };
    let rows: Vec<Vec<String>> = findings
        .data
        .plots
        .iter()
        .map(|p| {
            vec![
                p.plot.clone(),
                ground(p),
                findings.name(&p.treatment).to_owned(),
                p.cores.to_string(),
                p.before.map_or(NONE.to_owned(), figure),
                p.count.to_string(),
                figure(findings.per_core(p)),
            ]
        })
        .collect();
    let [one, several] = findings.protocol.response.sample.words();
    let (per, summed) = (
        format!("per {one}"),
        format!("Plots as they were compared, {several} summed"),
    );
    let names = [
        Words("plot"),
        Words("block"),
        Words("treatment"),
        Figures(several),
        Figures("before"),
        Figures("counted"),
        Figures(&per),
    ];
    Section::new("plots", "Plots").table(&summed, &names, rows)
}

/// The cores of every plot, a line for each plot and occasion.
pub(super) fn cores(findings: &Findings<'_>) -> Section {
    let mut rows: Vec<Vec<String>> = Vec::new();
    let mut cut = false;
    for occasion in &findings.protocol.occasions {
        let counted = findings.counts.observations();
        if !counted.iter().any(|o| o.occasion == occasion.name) {
            continue;
        }
        let mut met: Vec<&str> = Vec::new();
        for plot in &findings.layout.plots {
            if met.contains(&plot.plot.as_str()) {
                continue;
            }
            met.push(&plot.plot);
            let of = || {
                let here = |o: &&Observation| o.plot == plot.plot && o.occasion == occasion.name;
                counted.iter().filter(here)
            };
            let counts: Vec<String> = of().map(|o| o.count.to_string()).collect();
            let notes: Vec<&str> = of().filter_map(|o| o.note.as_deref()).collect();
            let notes = notes.join("; ");
            cut |= is_cut(&notes);
            let shown = if counts.is_empty() {
                "not counted".to_owned()
            } else {
                counts.join(", ")
            };
            rows.push(vec![
                plot.plot.clone(),
                occasion.name.clone(),
                shown,
                in_a_cell(&notes),
            ]);
        }
    }
    let [_, several] = findings.protocol.response.sample.words();
    let counts = format!("counts of its {several}");
    let names = [
        Words("plot"),
        Words("occasion"),
        Words(&counts),
        Words("notes"),
    ];
    let long = "A long note, or several, end in “…” here: counts.csv has all of them.";
    Section::new("raw-counts", "Raw counts")
        .table("Counts as they were written down", &names, rows)
        .paragraphs(cut.then_some(long))
}
