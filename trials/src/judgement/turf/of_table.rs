//! Readings of any table, by the names of its columns.

use std::collections::BTreeMap;

use super::judged::{TurfQuestion, judged};
use super::readings::Readings;
use super::result::TurfJudgement;
use crate::intake::{Columns, Labels};
use crate::table::{Problem, RawTable, errors};
use crate::trial_data::PlotCount;
use crate::trial_data::from_table::{ground_of, scheme};
use crate::{Error, Warning};

/// Judges the readings of a table; `file` is its name in complaints, `columns.count` the readings.
///
/// # Errors
/// Missing columns and unreadable cells, all at once; an unknown control; a response off its scale.
pub fn judge_turf(
    file: &str,
    text: &str,
    columns: &Columns,
    asked: &TurfQuestion,
) -> Result<(TurfJudgement, Vec<Warning>), Vec<Error>> {
    let table = RawTable::read(file, text).map_err(errors)?;
    let (readings, mut treatments) = readings(&table, columns, asked).map_err(errors)?;
    let control = treatments.iter().position(|t| *t == columns.control);
    let Some(control) = control.filter(|_| treatments.len() > 1) else {
        return Err(vec![Error::new(
            "--control",
            format!(
                "\"{}\" is not one of {}",
                columns.control,
                treatments.join(", ")
            ),
            "Name the treatment that the others are compared with, as the table spells it.",
        )]);
    };
    let name = treatments.remove(control);
    treatments.insert(0, name);
    let ground = ground_of(
        columns.block.is_some(),
        columns.row.is_some() && columns.column.is_some(),
    );
    let draws = scheme(&readings.plots, &treatments, ground, asked.seed).map_err(|e| vec![e])?;
    judged(&readings, (&treatments, &treatments), draws, asked).map_err(|e| vec![e])
}

/// Readings by plot, and the treatments in file order. A line without a reading adds nothing; a plot
/// without any is missing.
fn readings(
    table: &RawTable,
    columns: &Columns,
    asked: &TurfQuestion,
) -> Result<(Readings, Vec<String>), Vec<Problem>> {
    let (scale, needed) = asked.response.scale();
    let inside = table.readings(&columns.count, scale, needed)?;
    let outside = match &asked.outside {
        Some(name) => table.readings(name, scale, needed)?,
        None => vec![Some(0.0); inside.len()],
    };
    let treatments = table.labels(&columns.treatment)?;
    let names = |name: &Option<String>| name.as_ref().map(|n| table.labels(n)).transpose();
    let (blocks, plots) = (names(&columns.block)?, names(&columns.plot)?);
    let (rows, squares) = (names(&columns.row)?, names(&columns.column)?);
    let at = |labels: &Option<Labels>, row: usize| {
        labels.as_ref().and_then(|l| l.name(row)).map(str::to_owned)
    };
    let line = |row: usize| table.rows[row].first().map_or(0, |c| c.line);
    let mut found = Readings::default();
    let mut seen: BTreeMap<(String, String), usize> = BTreeMap::new();
    for row in 0..inside.len() {
        let treatment = treatments.name(row).unwrap_or_default().to_owned();
        let plot = at(&plots, row).unwrap_or_else(|| format!("row {}", line(row)));
        // Readings of one plot under two names of a treatment would be two plots.
        let place = *seen
            .entry((plot.clone(), treatment.clone()))
            .or_insert_with(|| {
                found.plots.push(PlotCount {
                    plot,
                    treatment,
                    block: at(&blocks, row),
                    row: at(&rows, row),
                    column: at(&squares, row),
                    count: 0,
                    cores: 0,
                    exposure: 1.0,
                    before: None,
                    place: None,
                });
                found.inside.push(0.0);
                found.outside.push(0.0);
                found.plots.len() - 1
            });
        // Of an edge both sides are needed.
        if let Some((inside, outside)) = inside[row].zip(outside[row]) {
            found.plots[place].cores += 1;
            found.inside[place] += inside;
            found.outside[place] += outside;
        }
    }
    Ok((found.averaged(), treatments.levels))
}
