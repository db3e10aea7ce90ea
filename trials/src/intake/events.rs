//! `events.csv`: what happened to the plots between laying out and counting.

use std::borrow::Cow;

use jiff::civil::Date;
use serde::Serialize;

use super::known_columns::unknown_columns;
use super::row::Sheet;
use crate::design::{Layout, Protocol};
use crate::ranges::tables::COVERED;
use crate::table::{Cell, Complaint, Problem, RawTable, Rule};
use crate::text::spelling::offer;

/// Columns `events.csv` may have.
pub(super) const COLUMNS: [&str; 5] = ["plot", "date", "event", "covered_fraction", "note"];

/// Words for what happened, and the share of the plot that was covered from then on where the word itself says it.
/// With a share of its own a line may call it anything.
pub const EVENT_WORDS: [(&str, Option<f64>); 12] = [
    ("covered", Some(1.0)),
    ("sheet laid", Some(1.0)),
    ("uncovered", Some(0.0)),
    ("blown off", Some(0.0)),
    ("sheet blown off", Some(0.0)),
    ("sheet lifted", Some(0.0)),
    ("flood", None),
    ("birds", None),
    ("mown", None),
    ("trampled", None),
    ("dug up", None),
    ("other", None),
];

/// Something that happened to a plot: a sheet laid or blown off, a flood, a mower.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Event {
    /// Plot, as in the layout.
    pub plot: String,
    /// Day, where written.
    pub date: Option<Date>,
    /// What happened, as written.
    pub event: String,
    /// Share of the plot that was covered, from 0 to 1, where it is written or the word says it.
    pub covered_fraction: Option<f64>,
    /// What else was written.
    pub note: Option<String>,
    /// Line of the file.
    pub line: u64,
    /// Cell of its date in the line, from 1.
    #[serde(skip)]
    pub column: usize,
}

impl Event {
    /// Whether it is dated after the day of a count.
    #[must_use]
    pub fn after(&self, counted: Option<Date>) -> bool {
        self.date
            .zip(counted)
            .is_some_and(|(happened, counted)| happened > counted)
    }
}

/// Reads the text of `events.csv` (`plot,date,event,covered_fraction,note`); `file` is its name in
/// complaints. A file with nothing in it, or nothing below its header, holds no events; a line that begins with `#` is there to
/// be read by people.
///
/// # Errors
/// Every problem found: columns missing or unknown, unknown plots, impossible dates, shares outside 0 to 1, words
/// that say nothing.
pub fn read_events(
    file: &str,
    text: &str,
    protocol: &Protocol,
    layout: &Layout,
) -> Result<Vec<Event>, Vec<Problem>> {
    let table = match RawTable::read(file, &without_comments(text)) {
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
    // What has no column of its own goes into the note: here nothing is let by unread.
    let unknown = unknown_columns(&sheet, &COLUMNS).into_iter();
    problems.extend(unknown.map(Problem::refused));
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

/// The text with the lines that begin with `#` left blank, so that all others keep their numbers; inside a quoted cell no line
/// begins.
pub(super) fn without_comments(text: &str) -> Cow<'_, str> {
    if !text.contains('#') {
        return Cow::Borrowed(text);
    }
    let mut quoted = false;
    let lines = text.split_inclusive('\n').map(|line| {
        if !quoted
            && line
                .trim_start_matches('\u{feff}')
                .trim_start()
                .starts_with('#')
        {
            return &line[line.trim_end_matches(['\r', '\n']).len()..];
        }
        quoted ^= line.matches('"').count() % 2 == 1;
        line
    });
    Cow::Owned(lines.collect())
}

fn event(sheet: &Sheet<'_>, row: &[Cell]) -> Result<Event, Vec<Problem>> {
    let covered = covered(sheet, row);
    let what = word(sheet, row, !matches!(covered, Ok(None)));
    let implied = what.as_ref().ok().and_then(|word| {
        let known = EVENT_WORDS
            .iter()
            .find(|(known, _)| *known == word.to_lowercase());
        known.and_then(|(_, share)| *share)
    });
    match (sheet.plot(row), sheet.date(row), covered, what) {
        (Ok(plot), Ok(date), Ok(covered_fraction), Ok(event)) => Ok(Event {
            plot: plot.to_owned(),
            date,
            event,
            covered_fraction: covered_fraction.or(implied),
            note: sheet.optional(row, "note"),
            line: row.first().map_or(1, |c| c.line),
            column: sheet.column("date"),
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

/// What happened. A word that is not known says nothing, unless the line has a share of its own.
fn word(sheet: &Sheet<'_>, row: &[Cell], share_written: bool) -> Result<String, Problem> {
    let cell = sheet.cell(row, "event");
    let Some((cell, word)) = cell.zip(sheet.optional(row, "event")) else {
        let blank = Complaint::new("the event is blank", "Write what happened.");
        return Err(Problem::new(
            &sheet.table.file,
            cell,
            Rule::BlankCell,
            blank,
        ));
    };
    let known = EVENT_WORDS.map(|(known, _)| known);
    if share_written || known.contains(&word.to_lowercase().as_str()) {
        return Ok(word);
    }
    let unknown = Complaint::new(
        format!("\"{word}\" does not say whether the plot was covered from then on"),
        format!(
            "{} Or write the share that was covered under covered_fraction.",
            offer(&word, &known)
        ),
    );
    Err(sheet.problem(cell, Rule::UnknownEvent, unknown))
}

fn covered(sheet: &Sheet<'_>, row: &[Cell]) -> Result<Option<f64>, Problem> {
    let Some(cell) = sheet
        .cell(row, "covered_fraction")
        .filter(|c| !c.text.is_empty())
    else {
        return Ok(None);
    };
    let share = sheet.table.number(&cell.text);
    let share = share.filter(|f| COVERED.holds(*f));
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
