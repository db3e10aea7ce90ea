//! What a report of a field trial has to tell, what of it is here, and what fills the rest.
//!
//! The items are general knowledge of what trial reports tell, in the sense of EPPO Standard PP 1/181 (Conduct and reporting
//! of efficacy evaluation trials). Its text could not be read: nothing here is taken from it or checked against it.

use super::document::{Section, Text};
use super::page::Column::Words;
use super::papers::Papers;
use crate::design::{Protocol, Reporting, Role};

/// How an item stands.
enum Stand {
    /// It is told; where.
    Told(&'static str),
    /// It is not; what fills it.
    Missing(String),
}

/// An item and how it stands.
type Item = (&'static str, Stand);

/// The section, and before it what people wrote by themselves.
pub(super) fn sections(papers: &Papers<'_>) -> Vec<Section> {
    let written = written(papers.reporting);
    let mut sections = Vec::new();
    if !written.is_empty() {
        sections.push(Section::new("how-it-was-done", "How it was done").record(written));
    }
    sections.push(checklist(papers));
    sections
}

/// What people wrote for those who read the report.
fn written(reporting: &Reporting) -> Vec<(String, Text)> {
    let each = Reporting::keys().filter_map(|(key, asked)| {
        let text = reporting.of(key)?;
        Some((asked.to_owned(), text.into()))
    });
    each.collect()
}

fn checklist(papers: &Papers<'_>) -> Section {
    let items: Vec<Item> = by_protocol(papers)
        .into_iter()
        .chain(by_files(papers))
        .chain(by_people(papers.reporting))
        .collect();
    let missing = items
        .iter()
        .filter(|(_, stand)| matches!(stand, Stand::Missing(_)))
        .count();
    let summary = match missing {
        0 => format!("All {} items are told.", items.len()),
        n => format!(
            "{} of {} items are told; {n} are missing.",
            items.len() - n,
            items.len()
        ),
    };
    let rows = items.into_iter().map(|(item, stand)| match stand {
        Stand::Told(place) => vec![item.to_owned(), "told".to_owned(), place.to_owned()],
        Stand::Missing(cure) => vec![item.to_owned(), "missing".to_owned(), cure],
    });
    let columns = [
        Words("item"),
        Words("here?"),
        Words("where, or what fills it"),
    ];
    Section::new("checklist", "Reporting checklist")
        .paragraph(format!(
            "Items that reports of field trials usually tell, in the sense of EPPO Standard PP 1/181. They come from general \
             knowledge: the standard's text was not at hand, and nothing here was checked against it. {summary}"
        ))
        .table("Reporting items", &columns, rows.collect())
}

fn told_if(there: bool, place: &'static str, cure: &str) -> Stand {
    if there {
        Stand::Told(place)
    } else {
        Stand::Missing(cure.to_owned())
    }
}

/// Items of which the protocol knows.
fn by_protocol(papers: &Papers<'_>) -> Vec<Item> {
    let protocol: &Protocol = papers.protocol;
    let before = protocol.occasions.iter().any(|o| o.role == Role::Before);
    let dated = protocol.occasions.iter().all(|o| o.date.is_some());
    let worth = protocol.decision.worthwhile_percent > 0.0
        || protocol.decision.worthwhile_difference.is_some();
    vec![
        ("Title and question", Stand::Told("head of the report")),
        (
            "Site",
            told_if(
                protocol.trial.site.is_some(),
                "head of the report",
                "trial.toml [trial] site",
            ),
        ),
        (
            "Day of laying out",
            told_if(
                protocol.trial.date.is_some(),
                "Record",
                "trial.toml [trial] date",
            ),
        ),
        ("Treatments and control", Stand::Told("Methods")),
        ("Design and number of blocks", Stand::Told("Methods")),
        ("Size of plots and guard strips", Stand::Told("Methods")),
        (
            "What is counted or read, and on which area",
            Stand::Told("Methods"),
        ),
        (
            "Days of counting",
            told_if(dated, "Record", "trial.toml [[occasion]] date, for each"),
        ),
        (
            "State before treatment",
            told_if(
                before,
                "Plots",
                "trial.toml [[occasion]] with role = \"before\", counted before the methods are applied",
            ),
        ),
        (
            "Change worth having, fixed beforehand",
            told_if(
                worth,
                "the verdict",
                "trial.toml [decision] worthwhile_difference",
            ),
        ),
        ("Error rate accepted", Stand::Told("Methods")),
    ]
}

/// Items that follow from the trial's files.
fn by_files(papers: &Papers<'_>) -> Vec<Item> {
    vec![
        ("Plan of the plots", Stand::Told("Where the plots lay")),
        (
            "Randomisation, so that others can repeat it",
            told_if(
                papers.seal.is_some(),
                "Record",
                "seal.toml, which `halfgreen layout` writes before anything is counted",
            ),
        ),
        ("Deviations from the plan", Stand::Told("Deviations")),
        (
            "What happened to plots",
            told_if(
                !papers.events.is_empty(),
                "What happened to the plots",
                "events.csv, one line for each event; if nothing happened, say so under trial.toml [reporting] weather",
            ),
        ),
        ("Result of every plot", Stand::Told("Plots")),
        ("Estimates with limits", Stand::Told("the verdict")),
        ("Statistical methods", Stand::Told("Methods")),
        ("Software, version, seed", Stand::Told("Record")),
    ]
}

/// Items that only people know.
fn by_people(reporting: &Reporting) -> impl Iterator<Item = Item> {
    Reporting::keys().map(|(key, asked)| {
        let cure = format!("trial.toml [reporting] {key}");
        let stand = told_if(reporting.of(key).is_some(), "How it was done", &cure);
        (asked, stand)
    })
}
