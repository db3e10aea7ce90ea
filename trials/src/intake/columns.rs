//! Any table of counts, by the names of its columns.

use std::collections::BTreeMap;

use serde::Serialize;

use super::Labels;
use crate::ranges::tables::{COUNT, SAMPLED_AREA, TREATMENTS};
use crate::table::{Complaint, Problem, RawTable, Rule};
use crate::text::spelling::offer;

/// Which column holds what.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Columns {
    /// Counts.
    pub count: String,
    /// Treatments.
    pub treatment: String,
    /// The treatment that is the control.
    pub control: String,
    /// Blocks.
    pub block: Option<String>,
    /// Rows of a Latin square.
    pub row: Option<String>,
    /// Columns of a Latin square.
    pub column: Option<String>,
    /// Plots, where several rows are cores of one plot.
    pub plot: Option<String>,
    /// Counts before treatment.
    pub before: Option<String>,
    /// Areas counted, square metres.
    pub area: Option<String>,
}

/// The columns asked for, row by row in file order. Rows without a count are left out and listed.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct TableInput {
    /// Counts.
    pub counts: Vec<u64>,
    /// Treatments.
    pub treatments: Labels,
    /// Position of the control among the levels of `treatments`.
    pub control: usize,
    /// Blocks, if asked for.
    pub blocks: Option<Labels>,
    /// Rows of a Latin square, if asked for.
    pub rows: Option<Labels>,
    /// Columns of a Latin square, if asked for.
    pub columns: Option<Labels>,
    /// Plots, if asked for.
    pub plots: Option<Labels>,
    /// Counts before treatment, if asked for: numbers from 0.
    pub before: Option<Vec<f64>>,
    /// Areas, square metres, if asked for: above 0.
    pub areas: Option<Vec<f64>>,
    /// Line of each row in the file.
    pub lines: Vec<u64>,
    /// Warnings, among them one for each row whose count is blank.
    pub problems: Vec<Problem>,
}

/// Reads the named columns of a table; `file` is its name in complaints.
///
/// # Errors
/// Every missing column, unreadable cell and unknown control at once.
pub fn read_columns(file: &str, text: &str, wanted: &Columns) -> Result<TableInput, Vec<Problem>> {
    let (mut table, mut problems) = RawTable::read_counts(file, text)?;
    problems.extend(drop_uncounted(&mut table, &wanted.count)?);
    let mut faults = Vec::new();
    let counts = keep(table.counts(&wanted.count), &mut faults);
    let treatments = keep(treatments(&table, &wanted.treatment), &mut faults);
    let mut names = |name: &Option<String>| {
        name.as_ref()
            .and_then(|n| keep(table.labels(n), &mut faults))
    };
    let (blocks, rows) = (names(&wanted.block), names(&wanted.row));
    let (columns, plots) = (names(&wanted.column), names(&wanted.plot));
    let before = wanted.before.as_ref().and_then(|n| {
        let read = table.numbers(n, &COUNT);
        keep(read, &mut faults)
    });
    let areas = wanted.area.as_ref().and_then(|n| {
        let read = table.numbers(n, &SAMPLED_AREA);
        keep(read, &mut faults)
    });
    let control = treatments.as_ref().and_then(|t| {
        let found = control(&table, t, wanted).map_err(|p| vec![p]);
        keep(found, &mut faults)
    });
    let (Some(counts), Some(treatments), Some(control), true) =
        (counts, treatments, control, faults.is_empty())
    else {
        return Err(faults);
    };
    Ok(TableInput {
        counts: counts.into_iter().flatten().collect(),
        treatments,
        control,
        blocks,
        rows,
        columns,
        plots,
        before,
        areas,
        lines: table
            .rows
            .iter()
            .filter_map(|r| r.first())
            .map(|c| c.line)
            .collect(),
        problems,
    })
}

/// Takes rows without a count out of the table, with a warning for each.
fn drop_uncounted(table: &mut RawTable, count: &str) -> Result<Vec<Problem>, Vec<Problem>> {
    let at = table.required(count).map_err(|p| vec![p])?;
    let left_out =
        Complaint::note("no count is written: the line is left out, which is not the same as zero");
    let warnings = table.leave_out_blank(at, &left_out);
    if table.rows.is_empty() {
        let none = Complaint::new(
            format!("no line has a count under `{count}`"),
            "Fill in the counts.",
        );
        return Err(vec![Problem::new(
            &table.file,
            table.header.get(at),
            Rule::EmptyFile,
            none,
        )]);
    }
    Ok(warnings)
}

/// The treatments, no two of which may be told apart by capitals alone: one slip of the key would be a treatment.
pub(crate) fn treatments(table: &RawTable, column: &str) -> Result<Labels, Vec<Problem>> {
    let labels = table.labels(column)?;
    let number = labels.levels.len();
    if !TREATMENTS.holds_whole(number.max(1) as u64) {
        let heading = table.position(column).and_then(|at| table.header.get(at));
        let many = Complaint::new(
            TREATMENTS.fault(&format!("{number} treatments:")),
            "Name the column that tells the treatments, or compare fewer at once.",
        );
        return Err(vec![Problem::new(
            &table.file,
            heading,
            Rule::ImpossibleNumber,
            many,
        )]);
    }
    let mut met: BTreeMap<String, &str> = BTreeMap::new();
    for (level, name) in labels.levels.iter().enumerate() {
        if let Some(first) = met.insert(name.to_lowercase(), name) {
            let row = labels.codes.iter().position(|&c| c == level);
            let cell = row
                .zip(table.position(column))
                .map(|(row, at)| &table.rows[row][at]);
            let alike = Complaint::new(
                format!("treatment \"{name}\" differs from \"{first}\" in capitals alone"),
                "Write them alike if they are one treatment; if not, give one another name.",
            );
            return Err(vec![Problem::new(
                &table.file,
                cell,
                Rule::ImpossibleNumber,
                alike,
            )]);
        }
    }
    Ok(labels)
}

fn control(table: &RawTable, treatments: &Labels, wanted: &Columns) -> Result<usize, Problem> {
    let levels: Vec<&str> = treatments.levels.iter().map(String::as_str).collect();
    levels
        .iter()
        .position(|l| *l == wanted.control)
        .ok_or_else(|| {
            let heading = table
                .position(&wanted.treatment)
                .and_then(|at| table.header.get(at));
            let unknown = Complaint::new(
                format!(
                    "the control \"{}\" does not occur under `{}`",
                    wanted.control, wanted.treatment
                ),
                offer(&wanted.control, &levels),
            );
            Problem::new(&table.file, heading, Rule::ImpossibleNumber, unknown)
        })
}

/// The value, or nothing and its faults put with the others.
fn keep<T>(read: Result<T, Vec<Problem>>, faults: &mut Vec<Problem>) -> Option<T> {
    read.map_err(|found| faults.extend(found)).ok()
}
