//! `counts.csv` with a line for everything that is to be counted, and nothing counted yet.

use super::Pack;
use super::rows::{Column, Row, columns, rows};
use crate::Error;
use crate::text::table_cells::written;

/// The table as CSV, plots in walking order, occasion after occasion; what is to be counted is blank. Names that a
/// spreadsheet would run stand behind an apostrophe.
///
/// # Errors
/// Only if the text cannot be put together, which needs memory to run out.
pub fn counts_csv(pack: &Pack<'_>) -> Result<String, Error> {
    let failed = |e: &dyn std::fmt::Display| {
        Error::new(
            "counts.csv",
            format!("cannot be written ({e})"),
            "Try again.",
        )
    };
    let columns = columns(pack.protocol.response.kind);
    let mut writer = csv::Writer::from_writer(Vec::new());
    writer
        .write_record(columns.iter().map(|(name, _)| *name))
        .map_err(|e| failed(&e))?;
    for row in rows(pack) {
        let cells = columns.iter().map(|(_, what)| cell(&row, *what));
        writer.write_record(cells).map_err(|e| failed(&e))?;
    }
    let bytes = writer.into_inner().map_err(|e| failed(&e))?;
    String::from_utf8(bytes).map_err(|e| failed(&e))
}

fn cell(row: &Row<'_>, what: Column) -> String {
    match what {
        Column::Plot => written(row.plot).into_owned(),
        Column::Sample => row.sample.to_string(),
        Column::Occasion => written(row.occasion).into_owned(),
        Column::Date => row.date.map_or_else(String::new, |date| date.to_string()),
        _ => String::new(),
    }
}
