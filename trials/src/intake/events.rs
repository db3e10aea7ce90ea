//! `events.csv`: what happened to the plots between laying out and counting.

use jiff::civil::Date;
use serde::Serialize;

use super::row::Sheet;
use crate::design::{Layout, Protocol};
use crate::table::{Cell, Complaint, Problem, RawTable, Rule};

/// Something that happened to a plot: a sheet laid or blown off, a flood, a mower.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Event {
    /// Plot, as in the layout.
    pub plot: String,
    /// Day, where written.
    pub date: Option<Date>,
    /// What happened, as written.
    pub event: String,
    /// Share of the plot that was covered, from 0 to 1, where written.
    pub covered_fraction: Option<f64>,
    /// What else was written.
    pub note: Option<String>,
    /// Line of the file.
    pub line: u64,
}

/// Reads the text of `events.csv` (`plot,date,event,covered_fraction,note`); `file` is its name in
/// complaints. A file with nothing in it, or nothing below its header, holds no events.
///
/// # Errors
/// Every problem found: columns missing, unknown plots, impossible dates, shares outside 0 to 1.
pub fn read_events(
    file: &str,
    text: &str,
    protocol: &Protocol,
    layout: &Layout,
) -> Result<Vec<Event>, Vec<Problem>> {
    let table = match RawTable::read(file, text) {
        Ok(table) => table,
        // A sheet for events on which nothing was written: nothing happened.
        Err(problems) if problems.iter().all(|p| p.rule == Rule::EmptyFile) => {
            return Ok(Vec::new());
        }
        Err(problems) => return Err(problems),
    };
    let sheet = Sheet::of(&table, protocol, layout);
    let missing = ["plot", "event"]
        .into_iter()
        .filter_map(|n| table.required(n).err());
    let mut problems: Vec<Problem> = missing.collect();
    let mut events = Vec::new();
    if problems.is_empty() {
        for row in &table.rows {
            match event(&sheet, row) {
                Ok(event) => events.push(event),
                Err(found) => problems.extend(found),
            }
        }
    }
    if problems.is_empty() {
        Ok(events)
    } else {
        Err(problems)
    }
}

fn event(sheet: &Sheet<'_>, row: &[Cell]) -> Result<Event, Vec<Problem>> {
    let what = sheet.optional(row, "event").ok_or_else(|| {
        let cell = sheet.cell(row, "event");
        Problem::new(
            &sheet.table.file,
            cell,
            Rule::BlankCell,
            Complaint::new("the event is blank", "Write what happened."),
        )
    });
    match (sheet.plot(row), sheet.date(row), covered(sheet, row), what) {
        (Ok(plot), Ok(date), Ok(covered_fraction), Ok(event)) => Ok(Event {
            plot: plot.to_owned(),
            date,
            event,
            covered_fraction,
            note: sheet.optional(row, "note"),
            line: row.first().map_or(1, |c| c.line),
        }),
        (plot, date, covered, event) => {
            let found = [plot.err(), date.err(), covered.err(), event.err()];
            let named = sheet.cell(row, "plot").map_or("", |c| &c.text);
            Err(found
                .into_iter()
                .flatten()
                .map(|p| p.of_plot(named))
                .collect())
        }
    }
}

fn covered(sheet: &Sheet<'_>, row: &[Cell]) -> Result<Option<f64>, Problem> {
    let Some(cell) = sheet
        .cell(row, "covered_fraction")
        .filter(|c| !c.text.is_empty())
    else {
        return Ok(None);
    };
    let share = sheet.table.number(&cell.text);
    let share = share.filter(|f| (0.0..=1.0).contains(f));
    share.map(Some).ok_or_else(|| {
        let unfit = Complaint::new(
            format!(
                "the covered share must lie between 0 and 1, but this is \"{}\"",
                cell.text
            ),
            "Half is 0.5.",
        );
        sheet.problem(cell, Rule::ImpossibleNumber, unfit)
    })
}
