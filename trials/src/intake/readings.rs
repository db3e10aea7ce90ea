//! Scores, cover and lengths against protocol and layout: every complaint in one pass.

use std::collections::{BTreeMap, BTreeSet};

use jiff::civil::Date;
use serde::Serialize;

use super::CheckResult;
use super::check::refused;
use super::known_columns::columns;
use super::missing::Missing;
use super::row::Sheet;
use super::seen::{Place, Seen, repeated};
use crate::design::{Layout, Protocol, ResponseKind, Role};
use crate::ranges::tables::{PER_CENT, READING, SCORE};
use crate::table::{Cell, Complaint, Problem, Problems, RawTable, Rule};

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
    let none = |problems| ReadingsCheck {
        result: refused(problems, layout).result,
        readings: None,
    };
    let (table, doubts) = match RawTable::read_counts(file, text) {
        Ok(read) => read,
        Err(problems) => return none(problems),
    };
    let sheet = Sheet::of(&table, protocol, layout);
    let kind = protocol.response.kind;
    let needed: &[&str] = match kind {
        ResponseKind::Edge => &["plot", "reading", "outside"],
        _ => &["plot", "reading"],
    };
    let headings = columns(&sheet, needed, &COLUMNS);
    if headings.iter().any(Problem::is_error) {
        return none(headings);
    }
    let mut problems = Problems::default();
    problems.extend(doubts.into_iter().chain(headings));
    let mut seen = Seen::default();
    let mut readings = Vec::with_capacity(table.rows.len());
    for row in &table.rows {
        match reading(&sheet, row, kind, &mut seen) {
            Ok(reading) => readings.push(reading),
            Err(found) => problems.extend(found),
        }
    }
    let mut missing = Vec::new();
    let mut problems = problems.into_list();
    if !problems.iter().any(Problem::is_error) {
        missing = unread(&sheet, &readings, protocol, &mut problems);
    }
    let main = protocol.occasions.iter().find(|o| o.role == Role::Main);
    let met: BTreeSet<&str> = readings
        .iter()
        .filter(|r| main.is_some_and(|m| m.name == r.occasion))
        .map(|r| r.plot.as_str())
        .collect();
    let on_main = |plot: &&&str| met.contains(**plot);
    ReadingsCheck {
        result: CheckResult {
            plots: sheet.plots.len(),
            counted: sheet.plots.iter().filter(on_main).count(),
            counts: readings.len(),
            missing,
            problems: problems.clone(),
        },
        readings: (!problems.iter().any(Problem::is_error)).then_some(readings),
    }
}

/// A whole row, with all its complaints.
fn reading(
    sheet: &Sheet<'_>,
    row: &[Cell],
    kind: ResponseKind,
    seen: &mut Seen,
) -> Result<Reading, Vec<Problem>> {
    let (plot, occasion, date) = (sheet.plot(row), sheet.occasion(row), sheet.date(row));
    let value = number(sheet, row, "reading", kind);
    let outside = match kind {
        ResponseKind::Edge => number(sheet, row, "outside", kind).map(|o| o.map(Some)),
        _ => Ok(Some(None)),
    };
    let sample = match (&plot, &occasion) {
        (Ok(plot), Ok(occasion)) => place_of(sheet, row, plot, occasion, seen),
        _ => Ok(String::new()),
    };
    match (plot, occasion, date, value, outside, sample) {
        (Ok(plot), Ok(occasion), Ok(date), Ok(Some(value)), Ok(Some(outside)), Ok(sample)) => {
            Ok(Reading {
                plot: plot.to_owned(),
                sample,
                occasion: occasion.to_owned(),
                date,
                value,
                outside,
                note: sheet.optional(row, "note"),
                line: row.first().map_or(1, |c| c.line),
            })
        }
        (plot, occasion, date, value, outside, sample) => {
            let blank = [
                ("reading", matches!(value, Ok(None))),
                ("outside", matches!(outside, Ok(None))),
            ];
            let not_read = blank
                .into_iter()
                .filter(|(_, is)| *is)
                .filter_map(|(name, _)| {
                    let blank =
                        format!("`{name}` is blank: it is taken as not read, which is not zero");
                    let cell = sheet.cell(row, name)?;
                    Some(sheet.problem(cell, Rule::NotCounted, Complaint::note(blank)))
                });
            let named = sheet.cell(row, "plot").map_or("", |c| &c.text);
            let faults = [
                plot.err(),
                occasion.err(),
                date.err(),
                value.err(),
                outside.err(),
                sample.err(),
            ];
            let mut found: Vec<Problem> = faults.into_iter().flatten().chain(not_read).collect();
            found.sort_by_key(|p| p.column);
            Err(found.into_iter().map(|p| p.of_plot(named)).collect())
        }
    }
}

/// The place within a plot that a row stands for, refused if it was met before.
fn place_of(
    sheet: &Sheet<'_>,
    row: &[Cell],
    plot: &str,
    occasion: &str,
    seen: &mut Seen,
) -> Result<String, Problem> {
    let place = Place {
        plot: plot.to_owned(),
        occasion: occasion.to_owned(),
        stage: None,
        minutes: 0,
    };
    let sample = seen.sample(sheet, row, &place)?;
    let line = row.first().map_or(1, |c| c.line);
    match seen.meet(&place, &sample, (sheet.source, line)) {
        Some((_, first)) => Err(repeated(sheet, row, &place, &sample, first)),
        None => Ok(sample),
    }
}

/// A reading on the scale of its kind; `None` where the cell is blank.
fn number(
    sheet: &Sheet<'_>,
    row: &[Cell],
    name: &str,
    kind: ResponseKind,
) -> Result<Option<f64>, Problem> {
    let Some(cell) = sheet.cell(row, name).filter(|c| !c.text.is_empty()) else {
        return Ok(None);
    };
    let (scale, words) = match kind {
        ResponseKind::Score => (SCORE.start()..=SCORE.end(), "a score from 1 to 9"),
        ResponseKind::Cover => (
            PER_CENT.start()..=PER_CENT.end(),
            "a cover from 0 to 100 per cent",
        ),
        _ => (
            READING.start()..=READING.end(),
            "a number below a million million",
        ),
    };
    let number = sheet.table.number(&cell.text).filter(|x| scale.contains(x));
    number.map(Some).ok_or_else(|| {
        let unfit = Complaint::new(
            format!("\"{}\" is not {words}", cell.text),
            "Correct it, or leave it blank if it was not read.",
        );
        sheet.problem(cell, Rule::ImpossibleNumber, unfit)
    })
}

/// Plots without a reading on an occasion; an occasion that nobody has read yet is one warning.
fn unread(
    sheet: &Sheet<'_>,
    readings: &[Reading],
    protocol: &Protocol,
    problems: &mut Vec<Problem>,
) -> Vec<Missing> {
    let mut missing = Vec::new();
    let planned = protocol.response.cores_per_plot;
    for occasion in protocol.occasions.iter().map(|o| o.name.as_str()) {
        let head = sheet.table.header.first();
        let mut note = |rule, what: String| {
            let complaint = Complaint::note(what);
            problems.push(Problem::new(&sheet.table.file, head, rule, complaint));
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
        for plot in &sheet.plots {
            let counted = read.get(plot).copied().unwrap_or(0);
            if counted < planned {
                missing.push(Missing {
                    plot: (*plot).to_owned(),
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
