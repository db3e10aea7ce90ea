//! Tables larger than anybody fills in are refused before their cells are kept.

use super::{Cell, Complaint, Problem, Rule};
use crate::ranges::Range;
use crate::ranges::tables::{CELL, CELLS, COLUMNS, FILE_SIZE, ROWS};

/// Bytes in the unit of a file's size.
const MEGABYTE: f64 = 1e6;

/// Refuses a text that is too long, or has too many lines.
pub(super) fn of_text(file: &str, text: &str) -> Result<(), Vec<Problem>> {
    let ends = |byte: u8| matches!(byte, b'\n' | b'\r');
    // Lines that hold anything; the header is one of them.
    let lines = text
        .as_bytes()
        .windows(2)
        .filter(|pair| !ends(pair[0]) && ends(pair[1]));
    let rows = lines.count().saturating_sub(1);
    let megabytes = text.len() as f64 / MEGABYTE;
    within(file, None, FILE_SIZE, megabytes, "the file takes", "MB")?;
    within(
        file,
        None,
        ROWS,
        rows.max(1) as f64,
        "the table has",
        "rows",
    )
}

/// Refuses a table of too many rows, columns or cells, and a cell that holds a book.
pub(super) fn of_lines(file: &str, lines: &[Vec<Cell>]) -> Result<(), Vec<Problem>> {
    let Some(header) = lines.first() else {
        return Ok(());
    };
    let (rows, columns) = (lines.len().max(2) - 1, header.len());
    let at = header.first();
    within(file, at, ROWS, rows as f64, "the table has", "rows")?;
    within(
        file,
        at,
        COLUMNS,
        columns as f64,
        "the table has",
        "columns",
    )?;
    let cells = (rows * columns) as f64;
    within(file, at, CELLS, cells, "the table has", "cells")?;
    for cell in lines.iter().flatten() {
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
