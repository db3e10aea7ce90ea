//! What happened to the plots between laying out and counting, and what was made of it.

use super::Findings;
use super::document::Section;
use super::notes::{in_a_cell, rest};
use super::page::Column::{Figures, Words};
use super::papers::Papers;
use super::secondary;
use crate::intake::{Event, counted_on};
use crate::text::rounding::{NONE, percent};

/// Name of the section within the page.
const ID: &str = "happened";
const HEADING: &str = "What happened to the plots";

/// The section of a trial of counts: every event, then both analyses where plots changed sides.
pub(super) fn section(findings: &Findings<'_>) -> Option<Section> {
    let second = findings.judgement.as_treated.as_ref();
    if findings.events.is_empty() && second.is_none() {
        return None;
    }
    let made_of_it = |event: &Event| {
        let (protocol, counts) = (findings.protocol, findings.counts.observations());
        let late = event.after(counted_on(protocol, counts, &event.plot));
        let changed = second.is_some_and(|s| s.plots.iter().any(|p| p.plot == event.plot));
        match event.covered_fraction {
            _ if late => "after the count: cannot have touched it",
            None => "noted",
            Some(_) if changed => "the plot changes sides in the second analysis",
            Some(_) => "the plot stays as laid out",
        }
    };
    let heading = if second.is_some() {
        "Plots that did not stay as laid out"
    } else {
        HEADING
    };
    let section = told(&findings.papers(), &made_of_it, Section::new(ID, heading));
    Some(match second {
        Some(second) => secondary::as_treated(findings, second, section),
        None => section,
    })
}

/// The section of a trial of readings, which are judged as laid out only.
pub(super) fn of_readings(papers: &Papers<'_>) -> Option<Section> {
    (!papers.events.is_empty()).then(|| told(papers, &|_| "noted", Section::new(ID, HEADING)))
}

fn told(
    papers: &Papers<'_>,
    made_of_it: &dyn Fn(&Event) -> &'static str,
    section: Section,
) -> Section {
    let row = |event: &Event| {
        vec![
            event.plot.clone(),
            event.date.map_or(NONE.to_owned(), |day| day.to_string()),
            event.event.clone(),
            event.covered_fraction.map_or(NONE.to_owned(), percent),
            event.note.as_deref().map(in_a_cell).unwrap_or_default(),
            made_of_it(event).to_owned(),
        ]
    };
    let columns = [
        Words("plot"),
        Words("day"),
        Words("event"),
        Figures("covered"),
        Words("note"),
        Words("what was made of it"),
    ];
    let section = section.table(
        "Events, as they were written down",
        &columns,
        papers.events.iter().map(row).collect(),
    );
    let notes = papers.events.iter().filter_map(|e| e.note.as_deref());
    section.paragraphs(rest(notes, "events.csv"))
}
