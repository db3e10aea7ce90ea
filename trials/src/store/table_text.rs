//! Tables that are no text: workbooks, and Parquet, as archives of many trials are.

use std::path::Path;

use crate::Error;

use super::read::decoded;
use crate::table::{is_workbook, workbook_text};

/// Text of a table: a CSV file as it is, a workbook or a Parquet file as the CSV it stands for, so that one set of
/// rules checks all.
pub(super) fn table_text(name: &Path, bytes: Vec<u8>) -> Result<String, Error> {
    let parquet = name
        .extension()
        .is_some_and(|e| e.eq_ignore_ascii_case("parquet"));
    if parquet {
        from_parquet(name, bytes)
    } else if is_workbook(&bytes) {
        workbook_text(&name.display().to_string(), &bytes)
    } else {
        decoded(&name.display().to_string(), bytes)
    }
}

#[cfg(feature = "archive")]
fn from_parquet(name: &Path, bytes: Vec<u8>) -> Result<String, Error> {
    use polars::prelude::{CsvWriter, ParquetReader, SerReader, SerWriter};

    let damaged = |e: &dyn std::fmt::Display| {
        Error::new(
            name.display().to_string(),
            format!("this cannot be read as a Parquet table ({e})"),
            "Write it anew, or save the table as CSV.",
        )
    };
    let file = std::io::Cursor::new(bytes);
    let mut table = ParquetReader::new(file).finish().map_err(|e| damaged(&e))?;
    let mut text = Vec::new();
    CsvWriter::new(&mut text)
        .finish(&mut table)
        .map_err(|e| damaged(&e))?;
    String::from_utf8(text).map_err(|e| damaged(&e))
}

#[cfg(not(feature = "archive"))]
fn from_parquet(name: &Path, _bytes: Vec<u8>) -> Result<String, Error> {
    Err(Error::new(
        name.display().to_string(),
        "this build reads no Parquet",
        "Build with `--features archive`, or save the table as CSV.",
    ))
}
