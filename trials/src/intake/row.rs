//! One line of `counts.csv` against the protocol and the layout.

use std::collections::BTreeSet;

use jiff::civil::Date;

use super::count::read_count;
use super::limits::MOST_PER_M2;
use crate::design::dates::read_date;
use crate::design::{Layout, Protocol};
use crate::ranges::tables::SAMPLED_AREA;
use crate::table::{Cell, Complaint, Problem, RawTable, Rule};
use crate::text::spelling::nearest;

/// Columns `counts.csv` may have.
pub(super) const COLUMNS: [&str; 8] = [
    "plot", "sample", "occasion", "date", "stage", "count", "area_m2", "note",
];

/// The table with the names its cells are held against.
#[derive(Debug)]
pub(super) struct Sheet<'a> {
    pub(super) table: &'a RawTable,
    pub(super) plots: Vec<&'a str>,
    /// The same, to be looked up.
    known: BTreeSet<&'a str>,
    pub(super) occasions: Vec<&'a str>,
    pub(super) core_area_m2: f64,
    pub(super) cores_per_plot: usize,
    pub(super) most_per_m2: f64,
}

impl<'a> Sheet<'a> {
    /// A table of a trial.
    pub(super) fn of(table: &'a RawTable, protocol: &'a Protocol, layout: &'a Layout) -> Self {
        Self {
            table,
            known: layout.names().into_iter().collect(),
            plots: layout.names(),
            occasions: protocol.occasions.iter().map(|o| o.name.as_str()).collect(),
            core_area_m2: protocol.response.core_area_m2,
            cores_per_plot: protocol.response.cores_per_plot,
            most_per_m2: protocol.response.most_per_m2.unwrap_or(MOST_PER_M2),
        }
    }

    /// The cell of a row under a heading, where there is such a column.
    pub(super) fn cell<'r>(&self, row: &'r [Cell], name: &str) -> Option<&'r Cell> {
        row.get(self.table.position(name)?)
    }

    /// Text of a cell that may be absent or blank.
    pub(super) fn optional(&self, row: &[Cell], name: &str) -> Option<String> {
        self.cell(row, name)
            .map(|c| c.text.clone())
            .filter(|t| !t.is_empty())
    }

    pub(super) fn problem(&self, cell: &Cell, rule: Rule, complaint: Complaint) -> Problem {
        Problem::new(&self.table.file, Some(cell), rule, complaint)
    }

    /// The plot of a row, as the layout writes it.
    pub(super) fn plot(&self, row: &[Cell]) -> Result<&'a str, Problem> {
        let Some(cell) = self.cell(row, "plot") else {
            return Err(Problem::new(
                &self.table.file,
                row.first(),
                Rule::MissingColumn,
                Complaint::new(
                    "there is no column `plot`",
                    "Add it, with the plot of every count.",
                ),
            ));
        };
        if let Some(plot) = self.known.get(cell.text.as_str()) {
            return Ok(plot);
        }
        if cell.text.is_empty() {
            let blank = Complaint::new("the plot is blank", "Write which plot was counted.");
            return Err(self.problem(cell, Rule::BlankCell, blank));
        }
        let cure = match nearest_plot(&cell.text, &self.plots) {
            Some(near) => format!("If plot {near} was meant, write {near}."),
            None => format!("Its plots are {}.", listed(&self.plots)),
        };
        let unknown = Complaint::new(format!("plot {} is not in the layout", cell.text), cure);
        Err(self.problem(cell, Rule::UnknownPlot, unknown))
    }

    /// The occasion of a row, as the protocol writes it; a single occasion need not be written.
    pub(super) fn occasion(&self, row: &[Cell]) -> Result<&'a str, Problem> {
        let cell = self.cell(row, "occasion").filter(|c| !c.text.is_empty());
        match (cell, self.occasions.as_slice()) {
            (None, [only]) => Ok(only),
            (None, _) => {
                let cell = self.cell(row, "occasion").or(row.first());
                let blank = Complaint::new(
                    "the occasion is blank",
                    format!("Write one of {}.", listed(&self.occasions)),
                );
                Err(Problem::new(&self.table.file, cell, Rule::BlankCell, blank))
            }
            (Some(cell), known) => {
                let same = |o: &&&str| o.to_lowercase() == cell.text.to_lowercase();
                known.iter().find(same).copied().ok_or_else(|| {
                    let known = self.occasions.iter().copied();
                    let cure = match nearest(&cell.text, known) {
                        Some(near) => format!("If {near} was meant, write {near}."),
                        None => format!("The protocol has {}.", listed(&self.occasions)),
                    };
                    let what = format!("occasion \"{}\" is not in the protocol", cell.text);
                    self.problem(cell, Rule::UnknownOccasion, Complaint::new(what, cure))
                })
            }
        }
    }

    /// The count of a row; `None` where it is blank.
    pub(super) fn count(&self, row: &[Cell]) -> Result<Option<u64>, Problem> {
        let Some(cell) = self.cell(row, "count") else {
            return Ok(None);
        };
        read_count(&cell.text).map_err(|f| self.problem(cell, f.rule, f.complaint))
    }

    pub(super) fn date(&self, row: &[Cell]) -> Result<Option<Date>, Problem> {
        let Some(cell) = self.cell(row, "date").filter(|c| !c.text.is_empty()) else {
            return Ok(None);
        };
        read_date(&cell.text)
            .map(Some)
            .map_err(|f| self.problem(cell, Rule::ImpossibleDate, Complaint::new(f.what, f.cure)))
    }

    /// The area a count comes from, square metres; that of one core where it is not written.
    pub(super) fn area_m2(&self, row: &[Cell]) -> Result<f64, Problem> {
        let Some(cell) = self.cell(row, "area_m2").filter(|c| !c.text.is_empty()) else {
            return Ok(self.core_area_m2);
        };
        self.table
            .number(&cell.text)
            .filter(|a| SAMPLED_AREA.holds(*a))
            .ok_or_else(|| {
                let unfit = Complaint::new(
                    format!(
                        "the area must be {} and so more than 0, but this is \"{}\"",
                        SAMPLED_AREA.words(),
                        cell.text
                    ),
                    "Correct it, or leave it blank for the area of one core.",
                );
                self.problem(cell, Rule::ImpossibleArea, unfit)
            })
    }
}

/// A plot that differs only in capitals, leading zeros or a spreadsheet's ".0".
fn nearest_plot<'a>(text: &str, plots: &[&'a str]) -> Option<&'a str> {
    let bare = |t: &str| {
        let t = t.to_lowercase();
        let t = t.strip_prefix("plot").unwrap_or(&t).trim().to_owned();
        t.strip_suffix(".0")
            .unwrap_or(&t)
            .trim_start_matches('0')
            .to_owned()
    };
    plots.iter().copied().find(|p| bare(p) == bare(text))
}

/// Names in a row, shortened where there are many.
pub(super) fn listed(names: &[&str]) -> String {
    match names {
        [first, .., last] if names.len() > 8 => format!("{first} ... {last}"),
        _ => names.join(", "),
    }
}
