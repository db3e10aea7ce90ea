//! Tables larger than anybody fills in are refused before their cells are kept.

use super::{Cell, Complaint, Problem, Rule};
use crate::ranges::Range;
use crate::ranges::tables::{CELL, CELLS, COLUMNS, FILE_SIZE, ROWS, SUMMED_ROWS, SUMMED_SIZE};

/// Bytes in the unit of a file's size.
const MEGABYTE: f64 = 1e6;

/// How large a table may be.
#[derive(Debug)]
pub(super) struct Extent {
    size: Range,
    rows: Range,
}

/// A table that is kept, cell by cell.
pub(super) const WHOLE: Extent = Extent {
    size: FILE_SIZE,
    rows: ROWS,
};

/// A table of which nothing but sums is kept.
pub(super) const SUMMED: Extent = Extent {
    size: SUMMED_SIZE,
    rows: SUMMED_ROWS,
};

/// Refuses a text that is too long, or has too many lines.
pub(super) fn of_text(file: &str, text: &str, most: &Extent) -> Result<(), Vec<Problem>> {
    let ends = |byte: u8| matches!(byte, b'\n' | b'\r');
    // Lines that hold anything; the header is one of them.
    let lines = text
        .as_bytes()
        .windows(2)
        .filter(|pair| !ends(pair[0]) && ends(pair[1]));
    let rows = lines.count().saturating_sub(1);
    let megabytes = text.len() as f64 / MEGABYTE;
    within(file, None, most.size, megabytes, "the file takes", "MB")?;
    let rows = rows.max(1) as f64;
    within(file, None, most.rows, rows, "the table has", "rows")
}

/// Refuses rows with too many cells, and a cell that holds a book.
pub(super) fn of_lines(
    file: &str,
    header: &[Cell],
    lines: &[Vec<Cell>],
) -> Result<(), Vec<Problem>> {
    let (rows, columns) = (lines.len().max(1), header.len());
    let at = header.first();
    let broad = columns as f64;
    within(file, at, COLUMNS, broad, "the table has", "columns")?;
    let cells = (rows * columns) as f64;
    within(file, at, CELLS, cells, "the table has", "cells")?;
    for cell in header.iter().chain(lines.iter().flatten()) {
        if cell.text.len() as f64 > CELL.end() {
            let length = cell.text.chars().count() as f64;
            within(
                file,
                Some(cell),
                CELL,
                length,
                "this cell has",
                "characters",
            )?;
        }
    }
    Ok(())
}

fn within(
    file: &str,
    cell: Option<&Cell>,
    range: Range,
    found: f64,
    has: &str,
    things: &str,
) -> Result<(), Vec<Problem>> {
    if range.holds(found) {
        return Ok(());
    }
    let what = format!(
        "{has} {found:.0} {things}, and {} {things} are the most: {}",
        range.end(),
        range.reason
    );
    let cure = "Leave out what is not asked about, or part it.";
    let large = Complaint::new(what, cure);
    Err(vec![Problem::new(file, cell, Rule::BrokenLine, large)])
}
