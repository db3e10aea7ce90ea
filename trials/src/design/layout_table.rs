//! `layout.csv`: one line for each plot.

use std::collections::BTreeSet;

use super::{GreenShare, Layout, Plot, Protocol};
use crate::Error;
use crate::ranges::tables::{PLACE, PLOT_ANGLE, PLOT_SIDE};
use crate::table::{Problem, RawTable, Rule};
use crate::text::spelling::offer;
use crate::text::table_cells::written;

/// Columns of `layout.csv`.
const COLUMNS: [&str; 10] = [
    "plot",
    "block",
    "row",
    "column",
    "treatment",
    "x_m",
    "y_m",
    "length_m",
    "width_m",
    "angle_deg",
];

/// Text of `layout.csv`, lines ended by LF. x and y are the plot's centre.
///
/// # Errors
/// Only if the text cannot be put together, which needs memory to run out.
pub fn write_layout(layout: &Layout) -> Result<String, Error> {
    let failed = |e: &dyn std::fmt::Display| {
        Error::new(
            "layout.csv",
            format!("cannot be written ({e})"),
            "Try again.",
        )
    };
    let mut writer = csv::Writer::from_writer(Vec::new());
    writer.write_record(COLUMNS).map_err(|e| failed(&e))?;
    let name = |text: &str| written(text).into_owned();
    let text = |cell: &Option<String>| name(cell.as_deref().unwrap_or_default());
    for p in &layout.plots {
        let cells = [
            name(&p.plot),
            text(&p.block),
            text(&p.row),
            text(&p.column),
            name(&p.treatment),
            p.x_m.to_string(),
            p.y_m.to_string(),
            p.length_m.to_string(),
            p.width_m.to_string(),
            p.angle_deg.to_string(),
        ];
        writer.write_record(cells).map_err(|e| failed(&e))?;
    }
    let bytes = writer.into_inner().map_err(|e| failed(&e))?;
    String::from_utf8(bytes).map_err(|e| failed(&e))
}

/// Reads `layout.csv`; `greens` are those that the protocol names.
///
/// # Errors
/// A missing column, an empty plot or treatment, a number that is none, a plot met twice in the same
/// row (nights of a crossover are rows); with `file:line:column`.
pub fn read_layout(file: &str, text: &str, greens: &[GreenShare]) -> Result<Layout, Error> {
    let table = RawTable::read(file, text).map_err(|found| unreadable(file, found))?;
    let mut columns = [0; COLUMNS.len()];
    for (at, name) in columns.iter_mut().zip(COLUMNS) {
        *at = table.required(name)?;
    }
    let mut plots: Vec<Plot> = Vec::with_capacity(table.rows.len());
    let mut met = BTreeSet::new();
    for row in &table.rows {
        let number = |i: usize, range| table.number_within(&row[columns[i]], range);
        let optional = |i: usize| Some(row[columns[i]].text.clone()).filter(|t| !t.is_empty());
        let needed = |i: usize| {
            optional(i).ok_or_else(|| {
                Error::new(
                    table.place(&row[columns[i]]),
                    format!("`{}` is empty", COLUMNS[i]),
                    "Restore the line from the sealed layout.",
                )
            })
        };
        let block = optional(1);
        let plot = Plot {
            plot: needed(0)?,
            green: block.as_deref().and_then(|b| green_of(b, greens)),
            block,
            row: optional(2),
            column: optional(3),
            treatment: needed(4)?,
            x_m: number(5, &PLACE)?,
            y_m: number(6, &PLACE)?,
            length_m: number(7, &PLOT_SIDE)?,
            width_m: number(8, &PLOT_SIDE)?,
            angle_deg: number(9, &PLOT_ANGLE)?,
        };
        if !met.insert((plot.plot.clone(), plot.row.clone())) {
            return Err(Error::new(
                table.place(&row[columns[0]]),
                format!("plot {} is listed twice", plot.plot),
                "Give every plot one line.",
            ));
        }
        plots.push(plot);
    }
    Ok(Layout { plots })
}

/// The green whose name stands before a block's number.
fn green_of(block: &str, greens: &[GreenShare]) -> Option<String> {
    let (name, _) = block.rsplit_once('.')?;
    let known = greens.iter().find(|g| g.name == name)?;
    Some(known.name.clone())
}

/// Treatments of `layout.csv` that the protocol does not know, each as a refusal; none where all are known.
#[must_use]
pub fn unknown_treatments(file: &str, text: &str, protocol: &Protocol) -> Vec<Error> {
    let Ok(table) = RawTable::read(file, text) else {
        return Vec::new();
    };
    let Some(column) = table.position("treatment") else {
        return Vec::new();
    };
    let codes: Vec<&str> = protocol
        .treatments
        .iter()
        .map(|t| t.code.as_str())
        .collect();
    let cells = table.rows.iter().map(|row| &row[column]);
    let unknown = cells.filter(|cell| !codes.contains(&cell.text.as_str()));
    unknown
        .map(|cell| {
            Error::new(
                table.place(cell),
                format!("the protocol has no treatment `{}`", cell.text),
                format!(
                    "Restore the layout that was sealed. {}",
                    offer(&cell.text, &codes)
                ),
            )
        })
        .collect()
}

/// The first thing wrong with the file. One without plots was never laid out.
fn unreadable(file: &str, problems: Vec<Problem>) -> Error {
    match problems.into_iter().next() {
        Some(found) if found.rule != Rule::EmptyFile => found.into(),
        _ => Error::new(
            format!("{file}:1:1"),
            "the layout has no plots",
            "Run `halfgreen layout` on the trial folder.",
        ),
    }
}
