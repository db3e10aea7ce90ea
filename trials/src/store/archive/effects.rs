//! The answers of all trials together, as tables.

use std::io::Cursor;

use polars::prelude::{Column, CsvReadOptions, DataType, ParquetWriter, PolarsError, SerReader};

use super::Archive;
use crate::Error;
use crate::association::archive::LeftOutTrial;
use crate::association::{EFFECT_COLUMNS, EffectCells, TrialEffect, write_effects};
use crate::store::archived::{ARCHIVED_EFFECTS, ARCHIVED_LEFT_OUT};
use crate::text::table_cells::written;

impl Archive {
    /// Writes the effects as CSV and as Parquet, and what was left out; gives the names of the files.
    ///
    /// # Errors
    /// A disk that is full.
    pub fn write_effects(
        &self,
        effects: &[TrialEffect],
        left_out: &[LeftOutTrial],
    ) -> Result<Vec<String>, Error> {
        let _held = self.hold()?;
        let text = write_effects(effects)?;
        let parquet = parquet(&text).map_err(|e| {
            let what = format!("the effects cannot be written as Parquet ({e})");
            Error::new(self.shown(), what, "Report this as a fault.")
        })?;
        let files = [
            (ARCHIVED_LEFT_OUT, left_out_table(left_out)?.into_bytes()),
            ("effects/effects.parquet", parquet),
            (ARCHIVED_EFFECTS, text.into_bytes()),
        ];
        for (name, content) in &files {
            self.place(name, content)?;
        }
        Ok(files
            .iter()
            .map(|(name, _)| self.path(name).display().to_string())
            .collect())
    }
}

/// A table of effects as Parquet: the same cells, numbers as numbers.
fn parquet(text: &str) -> Result<Vec<u8>, PolarsError> {
    let mut table = CsvReadOptions::default()
        .with_infer_schema_length(Some(0))
        .into_reader_with_file_handle(Cursor::new(text.as_bytes()))
        .finish()?;
    for (name, cells) in EFFECT_COLUMNS {
        let kind = match cells {
            EffectCells::Names => continue,
            EffectCells::Numbers => DataType::Float64,
            EffectCells::Whole => DataType::Int64,
        };
        if table.get_column_index(name).is_some() {
            let cast: Column = table.column(name)?.cast(&kind)?;
            table.with_column(cast)?;
        }
    }
    let mut content = Cursor::new(Vec::new());
    ParquetWriter::new(&mut content).finish(&mut table)?;
    Ok(content.into_inner())
}

fn left_out_table(left_out: &[LeftOutTrial]) -> Result<String, Error> {
    let unwritable =
        |e: &dyn std::fmt::Display| Error::new("left-out.csv", e.to_string(), "Try again.");
    let mut table = csv::Writer::from_writer(Vec::new());
    table
        .write_record(["place", "season", "club", "trial", "reason"])
        .map_err(|e| unwritable(&e))?;
    for trial in left_out {
        let key = trial.trial.as_ref();
        let cells = [
            trial.place.clone(),
            key.map_or_else(String::new, |k| k.season.to_string()),
            key.map_or_else(String::new, |k| k.club.clone()),
            key.map_or_else(String::new, |k| k.trial.clone()),
            trial.reason.clone(),
        ];
        let cells = cells.iter().map(|cell| written(cell).into_owned());
        table.write_record(cells).map_err(|e| unwritable(&e))?;
    }
    let bytes = table.into_inner().map_err(|e| unwritable(&e))?;
    String::from_utf8(bytes).map_err(|e| unwritable(&e))
}
