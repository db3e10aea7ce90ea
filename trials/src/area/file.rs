//! Whether a file of an outline can be read in the time and memory that a command may take.

use crate::Error;
use crate::ranges::Range;
use crate::ranges::outline::{COLUMNS, CORNERS, TEXT};

const FEWER: &str =
    "Leave out corners that lie on a line with their neighbours, and whatever is no outline.";
/// Values for each corner: two or three numbers, and as much again of what recorders add.
const VALUES: f64 = 8.0;

/// Checks the size of the text, before anything is read.
pub(super) fn fits(file: &str, text: &str) -> Result<(), Vec<Error>> {
    let megabytes = text.len() as f64 / 1e6;
    within(
        file,
        TEXT,
        megabytes,
        &format!("the file has {megabytes:.0} MB"),
    )
}

/// Checks the lists of a JSON text: one for each corner, and a few for rings and features.
pub(super) fn json_fits(file: &str, text: &str) -> Result<(), Vec<Error>> {
    fits(file, text)?;
    let count = |mark: u8| text.bytes().filter(|b| *b == mark).count() as f64;
    let corners = count(b'[').max(count(b',') / VALUES);
    at_most(file, corners)
}

/// Checks the lines and the headings of a table.
pub(super) fn table_fits(file: &str, text: &str) -> Result<(), Vec<Error>> {
    fits(file, text)?;
    at_most(file, lines(text))?;
    let columns = b",;\t"
        .iter()
        .map(|&separator| headings(text, separator))
        .max();
    let columns = columns.unwrap_or(0);
    within(
        file,
        COLUMNS,
        columns.max(2) as f64,
        &format!("there are {columns} columns"),
    )
}

/// Lines that are not blank, ended in any way.
fn lines(text: &str) -> f64 {
    let lines = text.split(['\n', '\r']);
    lines.filter(|l| !l.trim().is_empty()).count() as f64
}

/// Headings as one separator would part them.
fn headings(text: &str, separator: u8) -> usize {
    let mut reader = csv::ReaderBuilder::new()
        .delimiter(separator)
        .has_headers(false)
        .flexible(true)
        .from_reader(text.as_bytes());
    reader
        .records()
        .next()
        .and_then(Result::ok)
        .map_or(0, |header| header.len())
}

fn at_most(file: &str, corners: f64) -> Result<(), Vec<Error>> {
    // A header, a closing corner for each ring, the lists that hold rings.
    let room = CORNERS.end() + 1000.0;
    if corners <= room {
        return Ok(());
    }
    let found = format!("the file holds some {corners:.0} corners");
    Err(vec![CORNERS.refuse(file, &found, FEWER)])
}

fn within(file: &str, range: Range, value: f64, found: &str) -> Result<(), Vec<Error>> {
    if range.holds(value) {
        return Ok(());
    }
    Err(vec![range.refuse(file, found, FEWER)])
}
