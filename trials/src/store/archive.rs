//! Tables kept as Parquet, as archives of many trials are.

use std::path::Path;

use crate::Error;

/// Text of a table: a CSV file as it is, a Parquet file as the CSV it stands for, so that one set of
/// rules checks both.
///
/// # Errors
/// As [`read_text`](super::read_text); a Parquet file that is damaged, or met by a build without the
/// feature `archive`.
pub fn read_table(path: &Path) -> Result<String, Error> {
    let parquet = path
        .extension()
        .is_some_and(|e| e.eq_ignore_ascii_case("parquet"));
    if parquet {
        from_parquet(path)
    } else {
        super::read_text(path)
    }
}

#[cfg(feature = "archive")]
fn from_parquet(path: &Path) -> Result<String, Error> {
    use polars::prelude::{CsvWriter, ParquetReader, SerReader, SerWriter};

    let damaged = |e: &dyn std::fmt::Display| {
        Error::new(
            path.display().to_string(),
            format!("this cannot be read as a Parquet table ({e})"),
            "Write it anew, or save the table as CSV.",
        )
    };
    #[expect(
        clippy::disallowed_types,
        reason = "this folder is the one that opens files"
    )]
    let file = std::fs::File::open(path).map_err(|e| damaged(&e))?;
    let mut table = ParquetReader::new(file).finish().map_err(|e| damaged(&e))?;
    let mut text = Vec::new();
    CsvWriter::new(&mut text)
        .finish(&mut table)
        .map_err(|e| damaged(&e))?;
    String::from_utf8(text).map_err(|e| damaged(&e))
}

#[cfg(not(feature = "archive"))]
fn from_parquet(path: &Path) -> Result<String, Error> {
    Err(Error::new(
        path.display().to_string(),
        "this build reads no Parquet",
        "Build with `--features archive`, or save the table as CSV.",
    ))
}
