//! One line of `counts.csv` against the protocol and the layout.

use std::collections::{BTreeMap, BTreeSet};

use jiff::civil::Date;

use super::count::read_count;
use super::names::{listed, nearest_plot};
use crate::count_rules::rules;
use crate::design::dates::read_date;
use crate::design::{Layout, Protocol, Sample};
use crate::ranges::tables::SAMPLED_AREA;
use crate::table::{Cell, Complaint, Problem, RawTable, Rule};
use crate::text::spelling::nearest;

/// The table with the names its cells are held against.
#[derive(Debug)]
pub(super) struct Sheet<'a> {
    pub(super) table: &'a RawTable,
    /// Which of several files it is, from 0.
    pub(super) source: usize,
    pub(super) plots: Vec<&'a str>,
    /// The same, to be looked up.
    known: BTreeSet<&'a str>,
    pub(super) occasions: Vec<&'a str>,
    /// Their days, where the protocol has them.
    pub(super) days: Vec<Option<Date>>,
    /// Stages that the protocol lists.
    stages: &'a [String],
    pub(super) core_area_m2: f64,
    pub(super) cores_per_plot: usize,
    pub(super) sample: Sample,
    pub(super) most_per_m2: f64,
    /// Headings in small letters, and where they stand.
    headings: BTreeMap<String, usize>,
}

impl<'a> Sheet<'a> {
    /// A table of a trial.
    pub(super) fn of(table: &'a RawTable, protocol: &'a Protocol, layout: &'a Layout) -> Self {
        let mut headings = BTreeMap::new();
        for (at, heading) in table.header.iter().enumerate() {
            headings.entry(heading.text.to_lowercase()).or_insert(at);
        }
        let response = &protocol.response;
        Self {
            table,
            source: 0,
            known: layout.names().into_iter().collect(),
            plots: layout.names(),
            occasions: protocol.occasions.iter().map(|o| o.name.as_str()).collect(),
            days: protocol.occasions.iter().map(|o| o.date).collect(),
            stages: &response.stages,
            core_area_m2: response.core_area_m2,
            cores_per_plot: response.cores_per_plot,
            sample: response.sample,
            most_per_m2: response.most_per_m2.unwrap_or(rules().most_per_m2),
            headings,
        }
    }

    /// The same as one of several files.
    pub(super) fn numbered(self, source: usize) -> Self {
        Self { source, ..self }
    }

    /// The cell of a row under a heading, where there is such a column.
    pub(super) fn cell<'r>(&self, row: &'r [Cell], name: &str) -> Option<&'r Cell> {
        row.get(*self.headings.get(name)?)
    }

    /// Number of a column among the cells of a line, from 1; the first where it is not there.
    pub(super) fn column(&self, name: &str) -> usize {
        self.headings.get(name).map_or(1, |at| at + 1)
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

    /// The stage of a row as it is kept, and what is doubtful about it.
    pub(super) fn stage(&self, row: &[Cell]) -> Result<(Option<String>, Option<Problem>), Problem> {
        let Some(cell) = self.cell(row, "stage").filter(|c| !c.text.is_empty()) else {
            return Ok((None, None));
        };
        let written = cell.text.to_lowercase();
        let own: Vec<&str> = self.stages.iter().map(String::as_str).collect();
        let usual = || rules().stages.iter().map(|s| s.name.as_str()).collect();
        let known: Vec<&str> = if own.is_empty() { usual() } else { own };
        let usual_name = rules().stage(&cell.text);
        let same = |name: &&&str| {
            let name = name.to_lowercase();
            name == written || usual_name.is_some_and(|usual| usual == name)
        };
        if let Some(stage) = known.iter().find(same) {
            return Ok((Some((*stage).to_owned()), None));
        }
        let near = nearest(&cell.text, known.iter().copied());
        let cure = match near {
            Some(near) => format!("If {near} was meant, write {near}."),
            None => format!("Stages that are told apart are {}.", listed(&known)),
        };
        let home = if self.stages.is_empty() {
            "no stage that is usually told apart"
        } else {
            "not among the stages of the protocol"
        };
        let unknown = Complaint::new(format!("stage \"{}\" is {home}", cell.text), cure);
        let problem = self.problem(cell, Rule::UnknownStage, unknown);
        if near.is_some() || !self.stages.is_empty() {
            return Err(problem.refused());
        }
        Ok((Some(cell.text.clone()), Some(problem)))
    }

    /// The area a count comes from, square metres; that of one core where it is not written.
    pub(super) fn area_m2(&self, row: &[Cell]) -> Result<f64, Problem> {
        let Some(cell) = self.cell(row, "area_m2").filter(|c| !c.text.is_empty()) else {
            return Ok(self.core_area_m2);
        };
        self.table
            .number(&cell.text)
            .filter(|a| rules().holds("area_m2", *a))
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
