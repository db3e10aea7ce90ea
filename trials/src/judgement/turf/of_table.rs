//! Readings of any table, by the names of its columns.

use std::collections::BTreeMap;

use super::judged::{Compared, TurfQuestion, judged};
use super::readings::{ReadPlot, Readings};
use super::result::TurfJudgement;
use crate::intake::{Columns, Labels, treatments};
use crate::table::{Problem, RawTable, errors};
use crate::trial_data::Unit;
use crate::trial_data::from_table::{blocking_of, reference_set};
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
    let (table, doubts) = RawTable::read_counts(file, text).map_err(errors)?;
    let (readings, mut treatments) = readings(&table, columns, asked).map_err(errors)?;
    let control = treatments.iter().position(|t| *t == columns.control);
    let Some(control) = control.filter(|_| treatments.len() > 1) else {
        return Err(vec![Error::in_field(
            "control",
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
    let blocking = blocking_of(
        columns.block.is_some(),
        columns.row.is_some() && columns.column.is_some(),
    );
    let units: Vec<Unit<'_>> = readings.plots.iter().map(ReadPlot::unit).collect();
    let drawn = reference_set(&units, &treatments, blocking, asked.seed).map_err(|e| vec![e])?;
    let compared = Compared {
        treatments: &treatments,
        names: &treatments,
    };
    let (judgement, warnings) = judged(&readings, &compared, drawn, asked).map_err(|e| vec![e])?;
    let told = doubts.into_iter().map(Warning::from);
    Ok((judgement, told.chain(warnings).collect()))
}

/// Readings by plot, and the treatments in file order. A line without a reading adds nothing; a plot
/// without any is missing.
fn readings(
    table: &RawTable,
    columns: &Columns,
    asked: &TurfQuestion,
) -> Result<(Readings, Vec<String>), Vec<Problem>> {
    let scale = asked.response.scale();
    let read = |name| table.readings(name, scale.least..=scale.most, scale.words);
    let inside = read(&columns.count)?;
    let outside = match &asked.outside {
        Some(name) => read(name)?,
        None => vec![Some(0.0); inside.len()],
    };
    let treatments = treatments(table, &columns.treatment)?;
    let names = |name: &Option<String>| name.as_ref().map(|n| table.labels(n)).transpose();
    let (blocks, plots) = (names(&columns.block)?, names(&columns.plot)?);
    let (rows, squares) = (names(&columns.row)?, names(&columns.column)?);
    let at = |labels: &Option<Labels>, row: usize| {
        labels.as_ref().and_then(|l| l.name(row)).map(str::to_owned)
    };
    let line = |row: usize| table.rows[row].first().map_or(0, |c| c.line);
    let mut sums: Vec<ReadPlot> = Vec::new();
    let mut seen: BTreeMap<(String, String), usize> = BTreeMap::new();
    for row in 0..inside.len() {
        let treatment = treatments.name(row).unwrap_or_default().to_owned();
        let plot = at(&plots, row).unwrap_or_else(|| format!("row {}", line(row)));
        // Readings of one plot under two names of a treatment would be two plots.
        let place = *seen
            .entry((plot.clone(), treatment.clone()))
            .or_insert_with(|| {
                sums.push(ReadPlot {
                    plot,
                    treatment,
                    block: at(&blocks, row),
                    row: at(&rows, row),
                    column: at(&squares, row),
                    inside: 0.0,
                    outside: 0.0,
                    places: 0,
                });
                sums.len() - 1
            });
        // Of an edge both sides are needed.
        if let Some((inside, outside)) = inside[row].zip(outside[row]) {
            sums[place].places += 1;
            sums[place].inside += inside;
            sums[place].outside += outside;
        }
    }
    Ok((Readings::averaged(sums), treatments.levels))
}
