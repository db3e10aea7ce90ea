//! Scores, cover and lengths against protocol and layout: every complaint in one pass.

use std::collections::{BTreeMap, BTreeSet};

use jiff::civil::Date;
use serde::Serialize;

use super::CheckResult;
use super::check::refused;
use super::gathered_readings::GatheredReadings;
use super::known_columns::columns;
use super::missing::Missing;
use super::observation::IdleLines;
use super::row::Sheet;
use crate::design::{Layout, Protocol, ResponseKind, Role};
use crate::table::{Complaint, Problem, RawTable, Rule};

/// Columns a table of readings may have.
pub(super) const COLUMNS: [&str; 7] = [
    "plot", "sample", "occasion", "date", "reading", "outside", "note",
];

/// One reading that was taken.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Reading {
    /// Plot, as in the layout.
    pub plot: String,
    /// Place within the plot: as written, or its number in file order.
    pub sample: String,
    /// Occasion, as in the protocol.
    pub occasion: String,
    /// Day it was read, where written.
    pub date: Option<Date>,
    /// The reading; inside the edge where an edge is read.
    pub value: f64,
    /// Outside the edge, where an edge is read.
    pub outside: Option<f64>,
    /// What else was written.
    pub note: Option<String>,
    /// Which of the files it stands in, from 0.
    #[serde(skip)]
    pub source: usize,
    /// Line of the file.
    pub line: u64,
}

/// The outcome of a check of readings.
#[derive(Debug, Clone, PartialEq)]
pub struct ReadingsCheck {
    /// What was found.
    pub result: CheckResult,
    /// The readings, if no problem is an error.
    pub readings: Option<Vec<Reading>>,
    /// Lines that are no reading of their own.
    pub(crate) idle: IdleLines,
}

impl ReadingsCheck {
    /// That tables cannot be read.
    pub(super) fn refused(problems: Vec<Problem>, layout: &Layout) -> Self {
        Self {
            result: refused(problems, layout).result,
            readings: None,
            idle: IdleLines::default(),
        }
    }
}

/// Checks readings written into `counts.csv`; `file` is its name in complaints.
///
/// A blank reading is a place that was not read, never a zero; a plot without any reading on an
/// occasion is a missing plot. Never fails: what is wrong is in the result.
#[must_use]
pub fn check_readings(
    file: &str,
    text: &str,
    protocol: &Protocol,
    layout: &Layout,
) -> ReadingsCheck {
    match RawTable::read_counts(file, text) {
        Ok((table, doubts)) => check_tables(file, &[table], doubts, protocol, layout),
        Err(problems) => ReadingsCheck::refused(problems, layout),
    }
}

/// Checks tables of readings as one: the same place read in two of them is one reading where they agree, and a fault where they
/// do not. `whole` is the file in which they stand together, `doubts` what is known of them already.
pub(super) fn check_tables(
    whole: &str,
    tables: &[RawTable],
    doubts: Vec<Problem>,
    protocol: &Protocol,
    layout: &Layout,
) -> ReadingsCheck {
    let kind = protocol.response.kind;
    let sheets: Vec<Sheet<'_>> = (0..)
        .zip(tables)
        .map(|(source, table)| Sheet::of(table, protocol, layout).numbered(source))
        .collect();
    let needed: &[&str] = match kind {
        ResponseKind::Edge => &["plot", "reading", "outside"],
        _ => &["plot", "reading"],
    };
    let of_sheet = |sheet| columns(sheet, needed, &COLUMNS);
    let headings: Vec<Problem> = sheets.iter().flat_map(of_sheet).collect();
    if headings.iter().any(Problem::is_error) {
        return ReadingsCheck::refused(headings, layout);
    }
    let mut gathered = GatheredReadings::default();
    gathered.problems.extend(doubts.into_iter().chain(headings));
    for sheet in &sheets {
        for row in &sheet.table.rows {
            gathered.take(&sheets, sheet, row, kind);
        }
    }
    gathered.tell_unread();
    let (problems, readings, idle) = gathered.found();
    let mut problems = problems.into_list();
    let mut missing = Vec::new();
    if !problems.iter().any(Problem::is_error) {
        missing = unread(whole, &readings, protocol, layout, &mut problems);
    }
    let main = protocol.occasions.iter().find(|o| o.role == Role::Main);
    let met: BTreeSet<&str> = readings
        .iter()
        .filter(|r| main.is_some_and(|m| m.name == r.occasion))
        .map(|r| r.plot.as_str())
        .collect();
    let plots = layout.names();
    ReadingsCheck {
        result: CheckResult {
            plots: plots.len(),
            counted: plots.iter().filter(|plot| met.contains(*plot)).count(),
            counts: readings.len(),
            missing,
            problems: problems.clone(),
        },
        readings: (!problems.iter().any(Problem::is_error)).then_some(readings),
        idle,
    }
}

/// Plots without a reading on an occasion; an occasion that nobody has read yet is one warning.
fn unread(
    whole: &str,
    readings: &[Reading],
    protocol: &Protocol,
    layout: &Layout,
    problems: &mut Vec<Problem>,
) -> Vec<Missing> {
    let mut missing = Vec::new();
    let planned = protocol.response.cores_per_plot;
    for occasion in protocol.occasions.iter().map(|o| o.name.as_str()) {
        let mut note = |rule, what: String| {
            let complaint = Complaint::note(what);
            problems.push(Problem::new(whole, None, rule, complaint));
        };
        if !readings.iter().any(|r| r.occasion == occasion) {
            let nothing = format!("no plot has a reading on occasion \"{occasion}\" yet");
            note(Rule::OccasionNotCounted, nothing);
            continue;
        }
        let mut read: BTreeMap<&str, usize> = BTreeMap::new();
        for reading in readings.iter().filter(|r| r.occasion == occasion) {
            *read.entry(&reading.plot).or_default() += 1;
        }
        for plot in layout.names() {
            let counted = read.get(plot).copied().unwrap_or(0);
            if counted < planned {
                missing.push(Missing {
                    plot: plot.to_owned(),
                    occasion: occasion.to_owned(),
                    planned,
                    counted,
                });
            }
            if counted == 0 {
                let unread = format!(
                    "plot {plot} has no reading on occasion \"{occasion}\": it is taken as a missing plot"
                );
                note(Rule::PlotNotCounted, unread);
            }
        }
    }
    missing
}
