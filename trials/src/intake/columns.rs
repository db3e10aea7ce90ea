//! Any table of counts, by the names of its columns.

use serde::Serialize;

use super::Labels;
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
    let mut table = RawTable::read(file, text)?;
    let problems = drop_uncounted(&mut table, &wanted.count)?;
    let mut faults = Vec::new();
    let counts = keep(table.counts(&wanted.count), &mut faults);
    let treatments = keep(table.labels(&wanted.treatment), &mut faults);
    let mut names = |name: &Option<String>| {
        name.as_ref()
            .and_then(|n| keep(table.labels(n), &mut faults))
    };
    let (blocks, rows) = (names(&wanted.block), names(&wanted.row));
    let (columns, plots) = (names(&wanted.column), names(&wanted.plot));
    let before = wanted.before.as_ref().and_then(|n| {
        let read = table.numbers(n, |x| x >= 0.0, "the count before treatment, 0 or more");
        keep(read, &mut faults)
    });
    let areas = wanted.area.as_ref().and_then(|n| {
        let read = table.numbers(n, |x| x > 0.0, "the area in square metres, more than 0");
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
    let blank = table.take_blank(at);
    let left_out =
        Complaint::note("no count is written: the line is left out, which is not the same as zero");
    let warnings: Vec<Problem> = blank
        .iter()
        .map(|row| {
            Problem::new(
                &table.file,
                Some(&row[at]),
                Rule::NotCounted,
                left_out.clone(),
            )
        })
        .collect();
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
