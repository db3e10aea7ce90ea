//! Any table of counts, by the names of its columns.

use std::collections::BTreeMap;

use serde::Serialize;

use super::Labels;
use super::gathered_columns::{Named, Names, Values};
use crate::ranges::tables::{COUNT, SAMPLED_AREA, TREATMENTS};
use crate::table::{Cell, Complaint, Problem, Problems, RawTable, Rule};
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

/// Reads the named columns of a table; `file` is its name in complaints. Its lines are not kept, so that it may have millions.
///
/// # Errors
/// Every missing column, unreadable cell and unknown control at once.
pub fn read_columns(file: &str, text: &str, wanted: &Columns) -> Result<TableInput, Vec<Problem>> {
    let mut gathering = Gathering::of(wanted);
    let problems = RawTable::read_counts_in_parts(file, text, |part| gathering.take(part))?;
    let head = RawTable::read_head(file, text)?;
    gathered(gathering, &head, wanted, problems)
}

/// The same of rows that were read already: those of one trial, say, among the rows of many.
///
/// # Errors
/// As [`read_columns`].
pub fn columns_of_rows(table: RawTable, wanted: &Columns) -> Result<TableInput, Vec<Problem>> {
    let head = RawTable {
        rows: Vec::new(),
        ..table.clone()
    };
    let mut gathering = Gathering::of(wanted);
    gathering.take(table);
    gathered(gathering, &head, wanted, Vec::new())
}

/// The columns once all rows are in.
fn gathered(
    gathering: Gathering,
    head: &RawTable,
    wanted: &Columns,
    mut problems: Vec<Problem>,
) -> Result<TableInput, Vec<Problem>> {
    let file = head.file.as_str();
    let counted = head.required(&wanted.count).map_err(|p| vec![p])?;
    if gathering.lines.is_empty() {
        let none = Complaint::new(
            format!("no line has a count under `{}`", wanted.count),
            "Fill in the counts.",
        );
        let heading = head.header.get(counted);
        return Err(vec![Problem::new(file, heading, Rule::EmptyFile, none)]);
    }
    let mut faults = Vec::new();
    let counts = keep(gathering.counts.whole(), &mut faults);
    let heading = head.position(&wanted.treatment);
    let heading = heading.and_then(|at| head.header.get(at));
    let named = gathering.treatments.whole(file);
    let treatments = keep(named.and_then(|n| distinct(file, heading, n)), &mut faults);
    let mut names = |column: Option<Names>| {
        let named = keep(column?.whole(file), &mut faults)?;
        Some(named.labels)
    };
    let (blocks, rows) = (names(gathering.blocks), names(gathering.rows));
    let (columns, plots) = (names(gathering.columns), names(gathering.plots));
    let mut numbers = |column: Option<Values<f64>>| keep(column?.whole(), &mut faults);
    let (before, areas) = (numbers(gathering.before), numbers(gathering.areas));
    let control = treatments.as_ref().and_then(|t| {
        let found = control(file, heading, t, wanted).map_err(|p| vec![p]);
        keep(found, &mut faults)
    });
    let (Some(counts), Some(treatments), Some(control), true) =
        (counts, treatments, control, faults.is_empty())
    else {
        return Err(faults);
    };
    problems.extend(gathering.left_out.into_list());
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
        lines: gathering.lines,
        problems,
    })
}

/// The columns on their way from the parts of a table.
struct Gathering {
    counts: Values<Option<u64>>,
    treatments: Names,
    blocks: Option<Names>,
    rows: Option<Names>,
    columns: Option<Names>,
    plots: Option<Names>,
    before: Option<Values<f64>>,
    areas: Option<Values<f64>>,
    lines: Vec<u64>,
    /// Rows without a count.
    left_out: Problems,
    count: String,
}

impl Gathering {
    fn of(wanted: &Columns) -> Self {
        let names = |name: &Option<String>| name.as_deref().map(Names::of);
        let numbers = |name: &Option<String>| name.as_deref().map(Values::of);
        Self {
            counts: Values::of(&wanted.count),
            treatments: Names::of(&wanted.treatment),
            blocks: names(&wanted.block),
            rows: names(&wanted.row),
            columns: names(&wanted.column),
            plots: names(&wanted.plot),
            before: numbers(&wanted.before),
            areas: numbers(&wanted.area),
            lines: Vec::new(),
            left_out: Problems::default(),
            count: wanted.count.clone(),
        }
    }

    fn take(&mut self, mut part: RawTable) {
        self.leave_out_uncounted(&mut part);
        self.counts.take_counts(&part);
        let optional = [
            &mut self.blocks,
            &mut self.rows,
            &mut self.columns,
            &mut self.plots,
        ];
        self.treatments.take(&part);
        for names in optional.into_iter().flatten() {
            names.take(&part);
        }
        if let Some(before) = &mut self.before {
            before.take_numbers(&part, &COUNT);
        }
        if let Some(areas) = &mut self.areas {
            areas.take_numbers(&part, &SAMPLED_AREA);
        }
        let firsts = part.rows.iter().filter_map(|row| row.first());
        self.lines.extend(firsts.map(|cell| cell.line));
    }

    /// Takes rows without a count out of a part, with a warning for each.
    fn leave_out_uncounted(&mut self, part: &mut RawTable) {
        let Some(at) = part.position(&self.count) else {
            return;
        };
        let blank = Complaint::note(
            "no count is written: the line is left out, which is not the same as zero",
        );
        part.leave_out_blank(at, &blank, &mut self.left_out);
    }
}

/// The treatments, no two of which may be told apart by capitals alone: one slip of the key would be a treatment.
pub(crate) fn treatments(table: &RawTable, column: &str) -> Result<Labels, Vec<Problem>> {
    let heading = table.position(column).and_then(|at| table.header.get(at));
    distinct(&table.file, heading, table.named(column)?)
}

/// The same of names that were read.
fn distinct(file: &str, heading: Option<&Cell>, named: Named) -> Result<Labels, Vec<Problem>> {
    let Named { labels, firsts } = named;
    let number = labels.levels.len();
    if !TREATMENTS.holds_whole(number.max(1) as u64) {
        let many = Complaint::new(
            TREATMENTS.fault(&format!("{number} treatments:")),
            "Name the column that tells the treatments, or compare fewer at once.",
        );
        let rule = Rule::ImpossibleNumber;
        return Err(vec![Problem::new(file, heading, rule, many)]);
    }
    let mut met: BTreeMap<String, &str> = BTreeMap::new();
    for (name, cell) in labels.levels.iter().zip(&firsts) {
        if let Some(first) = met.insert(name.to_lowercase(), name) {
            let alike = Complaint::new(
                format!("treatment \"{name}\" differs from \"{first}\" in capitals alone"),
                "Write them alike if they are one treatment; if not, give one another name.",
            );
            let rule = Rule::ImpossibleNumber;
            return Err(vec![Problem::new(file, Some(cell), rule, alike)]);
        }
    }
    Ok(labels)
}

fn control(
    file: &str,
    heading: Option<&Cell>,
    treatments: &Labels,
    wanted: &Columns,
) -> Result<usize, Problem> {
    let levels: Vec<&str> = treatments.levels.iter().map(String::as_str).collect();
    levels
        .iter()
        .position(|l| *l == wanted.control)
        .ok_or_else(|| {
            let unknown = Complaint::new(
                format!(
                    "the control \"{}\" does not occur under `{}`",
                    wanted.control, wanted.treatment
                ),
                offer(&wanted.control, &levels),
            );
            Problem::new(file, heading, Rule::ImpossibleNumber, unknown)
        })
}

/// The value, or nothing and its faults put with the others.
fn keep<T>(read: Result<T, Vec<Problem>>, faults: &mut Vec<Problem>) -> Option<T> {
    read.map_err(|found| faults.extend(found)).ok()
}
