//! `nights.csv`: what earlier nights took.
//!
//! A line a night: `date,sheet_m2,strips,people,lay_min,weigh_min,lift_min,count_min,clear_min,dry_min,note`. Minutes are those of
//! the clock while that many people worked; a cell that is blank was not written down, which is not the same as 0. The date,
//! any of the minutes and the note may be absent.

use jiff::civil::Date;

use super::Task;
use crate::design::dates::read_date;
use crate::ranges::Range;
use crate::ranges::night::{NIGHT_MINUTES, NIGHT_PEOPLE, NIGHT_SHEET, NIGHT_STRIPS};
use crate::table::{Cell, Complaint, Problem, RawTable, Rule};
use crate::text::spelling::offer;

/// Columns that `nights.csv` may have.
pub const NIGHT_COLUMNS: [&str; 11] = [
    "date",
    "sheet_m2",
    "strips",
    "people",
    "lay_min",
    "weigh_min",
    "lift_min",
    "count_min",
    "clear_min",
    "dry_min",
    "note",
];

/// An earlier night.
#[derive(Debug, Clone, PartialEq)]
pub struct NightRecord {
    /// Its date, where written.
    pub date: Option<Date>,
    /// Sheet that was laid, square metres.
    pub sheet_m2: f64,
    /// Strips.
    pub strips: f64,
    /// Person-minutes of each task in the order of [`Task::ALL`], where written.
    pub person_minutes: [Option<f64>; 6],
}

/// Reads the text of `nights.csv`; `file` is its name in complaints.
///
/// # Errors
/// Every problem found: columns missing or unknown, cells that are no number or outside their range, half a person or strip.
pub fn read_nights(file: &str, text: &str) -> Result<Vec<NightRecord>, Vec<Problem>> {
    let table = RawTable::read(file, text)?;
    let mut problems: Vec<Problem> = ["sheet_m2", "strips", "people"]
        .into_iter()
        .filter_map(|name| table.required(name).err())
        .collect();
    let unknown = table
        .header
        .iter()
        .filter(|cell| !NIGHT_COLUMNS.contains(&cell.text.to_lowercase().as_str()));
    problems.extend(unknown.map(|cell| {
        let what = format!("{} is not a column of the nights", cell.text);
        let unread = Complaint::new(what, offer(&cell.text, &NIGHT_COLUMNS));
        Problem::new(file, Some(cell), Rule::UnknownColumn, unread).refused()
    }));
    if !problems.is_empty() {
        return Err(problems);
    }
    let mut nights = Vec::with_capacity(table.rows.len());
    for row in &table.rows {
        match night(&table, row) {
            Ok(read) => nights.push(read),
            Err(found) => problems.extend(found),
        }
    }
    if problems.is_empty() {
        Ok(nights)
    } else {
        Err(problems)
    }
}

fn night(table: &RawTable, row: &[Cell]) -> Result<NightRecord, Vec<Problem>> {
    let mut problems = Vec::new();
    let mut read = |name: &str, range: &Range, needed: bool| {
        number(table, row, name, range, needed).unwrap_or_else(|problem| {
            problems.push(problem);
            None
        })
    };
    let sheet_m2 = read("sheet_m2", &NIGHT_SHEET, true);
    let strips = read("strips", &NIGHT_STRIPS, true);
    let people = read("people", &NIGHT_PEOPLE, true);
    let minutes = Task::ALL.map(|task| {
        let name = format!("{}_min", task.word());
        read(&name, &NIGHT_MINUTES, false)
    });
    let date = date(table, row).unwrap_or_else(|problem| {
        problems.push(problem);
        None
    });
    match (sheet_m2, strips, people) {
        (Some(sheet_m2), Some(strips), Some(people)) if problems.is_empty() => Ok(NightRecord {
            date,
            sheet_m2,
            strips,
            person_minutes: minutes.map(|m| m.map(|m| m * people)),
        }),
        _ => Err(problems),
    }
}

fn date(table: &RawTable, row: &[Cell]) -> Result<Option<Date>, Problem> {
    let cell = table.position("date").and_then(|at| row.get(at));
    let Some(cell) = cell.filter(|c| !c.text.is_empty()) else {
        return Ok(None);
    };
    read_date(&cell.text).map(Some).map_err(|fault| {
        let complaint = Complaint::new(fault.what, fault.cure);
        Problem::new(&table.file, Some(cell), Rule::ImpossibleDate, complaint)
    })
}

/// A number of its range; `None` where the column is absent or the cell blank and that is allowed.
fn number(
    table: &RawTable,
    row: &[Cell],
    name: &str,
    range: &Range,
    needed: bool,
) -> Result<Option<f64>, Problem> {
    let Some(cell) = table.position(name).and_then(|at| row.get(at)) else {
        return Ok(None);
    };
    if cell.text.is_empty() {
        let blank = Complaint::new(
            format!("{name} is blank"),
            "Fill it in, or take the line out.",
        );
        let problem = || Problem::new(&table.file, Some(cell), Rule::BlankCell, blank);
        return if needed { Err(problem()) } else { Ok(None) };
    }
    let impossible = |what: String, cure: String| {
        let complaint = Complaint::new(what, cure);
        Problem::new(&table.file, Some(cell), Rule::ImpossibleNumber, complaint)
    };
    let value = table.number(&cell.text).ok_or_else(|| {
        let what = format!("{name} is \"{}\", which is no number", cell.text);
        impossible(what, range.cure())
    })?;
    let whole = matches!(name, "people" | "strips");
    if !range.holds(value) || (whole && value.fract() != 0.0) {
        let what = if range.holds(value) {
            format!("{name} is {}, but there is no part of one", cell.text)
        } else {
            format!("{name}: {}", range.fault(&cell.text))
        };
        return Err(impossible(what, range.cure()));
    }
    Ok(Some(value))
}
