//! Rows as Parquet, in the layout that other engines read as partitions by season and club.

use std::io::Cursor;

use polars::prelude::{
    Column, DataFrame, IntoColumn, NamedFrom, ParallelStrategy, ParquetReader, ParquetWriter,
    PolarsError, SerReader, Series, StringChunkedBuilder,
};
use rayon::prelude::*;

use super::{Archive, partition};
use crate::Error;
use crate::association::archive::{Named, Piece, Role, Row, Rows, Sums, TrialKey};

/// Rows in a group that is read at once: a trial is found without reading its neighbours far and wide.
const GROUP: usize = 16_384;

impl Archive {
    /// Writes the n-th part of a source's rows, a file for each club and season, each trial in one stretch; says where each lies.
    ///
    /// # Errors
    /// A disk that is full.
    pub fn write_rows(
        &self,
        sha256: &str,
        part: usize,
        rows: &Rows,
    ) -> Result<Vec<(TrialKey, Piece)>, Error> {
        let order = rows.by_trial();
        let key = |row: &usize| rows.trials.get(rows.of[*row]);
        let home = |row: &usize| key(row).map(|k| (k.season, k.club.as_str()));
        let clubs: Vec<&[usize]> = order.chunk_by(|a, b| home(a) == home(b)).collect();
        let written: Result<Vec<Vec<(TrialKey, Piece)>>, Error> = clubs
            .par_iter()
            .map(|stretch| {
                let Some(first) = stretch.first().and_then(key) else {
                    return Ok(Vec::new());
                };
                let folder = partition::folder(partition::COUNTS, first.season, &first.club);
                let file = format!("{folder}/{}", partition::rows_file(sha256, part));
                let content = encoded(rows, stretch).map_err(|e| self.unencoded(&file, &e))?;
                self.place(&file, &content)?;
                let mut from = 0;
                let trials = stretch.chunk_by(|a, b| rows.of[*a] == rows.of[*b]);
                Ok(trials
                    .filter_map(|trial| {
                        let piece = Piece {
                            file: file.clone(),
                            from,
                            rows: trial.len() as u64,
                        };
                        from += piece.rows;
                        Some((trial.first().and_then(key)?.clone(), piece))
                    })
                    .collect())
            })
            .collect();
        Ok(written?.into_iter().flatten().collect())
    }

    /// The rows of a trial.
    ///
    /// # Errors
    /// A file that is missing or damaged.
    pub fn read_rows(&self, key: &TrialKey, pieces: &[Piece]) -> Result<Rows, Error> {
        let mut rows = Rows::default();
        let trial = rows.trial(key);
        for piece in pieces {
            let frame = self.frame(piece, None)?;
            take(&mut rows, trial, &frame).map_err(|e| self.damaged(&piece.file, &e))?;
        }
        Ok(rows)
    }

    /// Sums of a trial's counts by treatment, of treatments that are asked about.
    ///
    /// # Errors
    /// As [`read_rows`](Self::read_rows).
    pub fn sums(
        &self,
        file: &str,
        pieces: &[Piece],
        mut add: impl FnMut(usize, &str, &Sums),
    ) -> Result<(), Error> {
        let whole = Piece {
            file: file.to_owned(),
            from: 0,
            rows: pieces.iter().map(|p| p.from + p.rows).max().unwrap_or(0),
        };
        let frame = self.frame(&whole, Some(&["treatment", "count"]))?;
        let damaged = |e: PolarsError| self.damaged(file, &e);
        let treatments = frame
            .column("treatment")
            .and_then(Column::str)
            .map_err(damaged)?;
        let counts = frame
            .column("count")
            .and_then(Column::i64)
            .map_err(damaged)?;
        for (at, piece) in pieces.iter().enumerate() {
            let stretch = (to_usize(piece.from), to_usize(piece.rows));
            let mut sums: Vec<(&str, Sums)> = Vec::new();
            let treatments =
                treatments.slice(i64::try_from(stretch.0).unwrap_or(i64::MAX), stretch.1);
            let counts = counts.slice(i64::try_from(stretch.0).unwrap_or(i64::MAX), stretch.1);
            for (treatment, count) in treatments.iter().zip(counts.iter()) {
                let (Some(treatment), count) = (treatment, small(count)) else {
                    continue;
                };
                let known = sums.iter_mut().rev().find(|(name, _)| *name == treatment);
                if let Some((_, sum)) = known {
                    sum.add(count);
                } else {
                    let mut sum = Sums::default();
                    sum.add(count);
                    sums.push((treatment, sum));
                }
            }
            for (treatment, sum) in &sums {
                add(at, treatment, sum);
            }
        }
        Ok(())
    }

    fn frame(&self, piece: &Piece, columns: Option<&[&str]>) -> Result<DataFrame, Error> {
        let path = self.path(&piece.file);
        #[expect(clippy::disallowed_types, reason = "parts of files are read here")]
        let file = std::fs::File::open(&path)
            .map_err(|e| crate::store::read::unreadable(&path.display().to_string(), &e))?;
        let columns = columns.map(|c| c.iter().map(|name| (*name).to_owned()).collect());
        let frame = ParquetReader::new(file)
            .with_columns(columns)
            .with_slice(Some((to_usize(piece.from), to_usize(piece.rows))))
            .read_parallel(ParallelStrategy::None)
            .finish()
            .map_err(|e| self.damaged(&piece.file, &e))?;
        if frame.height() as u64 == piece.rows {
            return Ok(frame);
        }
        let what = format!(
            "{} rows were written here and {} are left",
            piece.rows,
            frame.height()
        );
        Err(self.damaged(&piece.file, &what))
    }

    fn damaged(&self, file: &str, e: &dyn std::fmt::Display) -> Error {
        Error::new(
            self.path(file).display().to_string(),
            format!("this is not as it was written ({e})"),
            "Restore it from a copy, or add its source again with --replace.",
        )
    }

    fn unencoded(&self, file: &str, e: &PolarsError) -> Error {
        let what = format!("rows cannot be written as Parquet ({e})");
        Error::new(
            self.path(file).display().to_string(),
            what,
            "Report this as a fault.",
        )
    }
}

/// A count of a file: signed numbers are what every engine reads.
fn small(count: Option<i64>) -> u32 {
    count
        .and_then(|n| u32::try_from(n).ok())
        .unwrap_or_default()
}

fn to_usize(n: u64) -> usize {
    usize::try_from(n).unwrap_or(usize::MAX)
}

/// Some rows, in this order, as a Parquet file.
fn encoded(rows: &Rows, order: &[usize]) -> Result<Vec<u8>, PolarsError> {
    let of = |heading: &str, named: &Named| {
        texts(
            heading,
            order
                .iter()
                .map(|row| Some(named.name(*row)).filter(|name| !name.is_empty())),
        )
    };
    let mut frame = DataFrame::new(
        order.len(),
        vec![
            texts(
                "trial",
                order
                    .iter()
                    .map(|row| rows.trials.get(rows.of[*row]).map(|k| k.trial.as_str())),
            ),
            of("occasion", &rows.occasions),
            texts(
                "role",
                order.iter().map(|row| Some(rows.roles[*row].word())),
            ),
            of("treatment", &rows.treatments),
            of("block", &rows.blocks),
            of("plot", &rows.plots),
            Series::new(
                "count".into(),
                order
                    .iter()
                    .map(|r| i64::from(rows.counts[*r]))
                    .collect::<Vec<i64>>(),
            )
            .into_column(),
            area_column(rows, order),
            of("source", &rows.sources),
            Series::new(
                "line".into(),
                order
                    .iter()
                    .map(|r| rows.lines[*r].cast_signed())
                    .collect::<Vec<i64>>(),
            )
            .into_column(),
        ],
    )?;
    let mut content = Cursor::new(Vec::new());
    ParquetWriter::new(&mut content)
        .with_row_group_size(Some(GROUP))
        .set_parallel(false)
        .finish(&mut frame)?;
    Ok(content.into_inner())
}

/// A column of texts, some of which are not there.
fn texts<'r>(heading: &str, cells: impl ExactSizeIterator<Item = Option<&'r str>>) -> Column {
    let mut column = StringChunkedBuilder::new(heading.into(), cells.len());
    cells.for_each(|cell| column.append_option(cell));
    column.finish().into_column()
}

fn area_column(rows: &Rows, order: &[usize]) -> Column {
    let areas = order
        .iter()
        .map(|r| Some(rows.areas[*r]).filter(|a| *a > 0.0));
    Series::new("area_m2".into(), areas.collect::<Vec<Option<f64>>>()).into_column()
}

/// Adds the rows of a file to those of a trial.
fn take(rows: &mut Rows, trial: u32, frame: &DataFrame) -> Result<(), PolarsError> {
    let text = |name: &str| frame.column(name).and_then(Column::str);
    let (occasion, role, treatment) = (text("occasion")?, text("role")?, text("treatment")?);
    let (block, plot, source) = (text("block")?, text("plot")?, text("source")?);
    let count = frame.column("count")?.i64()?;
    let area = frame.column("area_m2")?.f64()?;
    let line = frame.column("line")?.i64()?;
    for at in 0..frame.height() {
        rows.push(
            trial,
            &Row {
                occasion: occasion.get(at).unwrap_or_default(),
                role: Role::of(role.get(at).unwrap_or_default()),
                treatment: treatment.get(at).unwrap_or_default(),
                block: block.get(at).unwrap_or_default(),
                plot: plot.get(at).unwrap_or_default(),
                count: small(count.get(at)),
                area_m2: area.get(at).unwrap_or_default(),
                source: source.get(at).unwrap_or_default(),
                line: line.get(at).unwrap_or_default().cast_unsigned(),
            },
        );
    }
    Ok(())
}
