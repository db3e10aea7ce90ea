//! Counts that passed the check.

use std::collections::BTreeSet;

use jiff::civil::Date;
use serde::Serialize;

use super::Missing;
use crate::table::Problem;

/// One count that was made.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Observation {
    /// Plot, as in the layout.
    pub plot: String,
    /// Core or quadrat within the plot: as written, or its number in file order.
    pub sample: String,
    /// Occasion, as in the protocol.
    pub occasion: String,
    /// Day it was counted, where written.
    pub date: Option<Date>,
    /// Stage of the larvae, where written.
    pub stage: Option<String>,
    /// Larvae counted.
    pub count: u64,
    /// Area the count comes from, square metres: as written, or that of one core.
    pub area_m2: f64,
    /// Whole minutes since the sheet was lifted: animals newly come up since the line before it.
    pub minutes: u64,
    /// When the count was finished, where written, as written.
    pub counted_at: Option<String>,
    /// Who counted, where written.
    pub counter: Option<String>,
    /// What else was written.
    pub note: Option<String>,
    /// Which of the files it stands in, from 0.
    pub source: usize,
    /// Line of the file.
    pub line: u64,
}

impl Observation {
    /// What was counted: plot, sample, occasion, stage and minutes after the lift.
    #[must_use]
    pub fn of(&self) -> (&str, &str, &str, Option<&str>, u64) {
        let stage = self.stage.as_deref();
        (
            &self.plot,
            &self.sample,
            &self.occasion,
            stage,
            self.minutes,
        )
    }
}

/// Counts that fit the protocol and the layout. Only [`check_counts`](super::check_counts) makes them.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(transparent)]
pub struct CheckedCounts {
    observations: Vec<Observation>,
}

impl CheckedCounts {
    pub(super) fn new(observations: Vec<Observation>) -> Self {
        Self { observations }
    }

    /// All counts, in file order.
    #[must_use]
    pub fn observations(&self) -> &[Observation] {
        &self.observations
    }
}

/// What the check found, for people and programs.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CheckResult {
    /// Plots in the layout.
    pub plots: usize,
    /// Plots with at least one count on the main occasion.
    pub counted: usize,
    /// Counts that could be read.
    pub counts: usize,
    /// What was planned and is not there.
    pub missing: Vec<Missing>,
    /// Everything wrong or doubtful, in file order.
    pub problems: Vec<Problem>,
}

/// The outcome of a check.
#[derive(Debug, Clone, PartialEq)]
pub struct Check {
    /// What was found.
    pub result: CheckResult,
    /// The counts, if no problem is an error.
    pub counts: Option<CheckedCounts>,
    /// Lines that are no count of their own.
    pub(crate) idle: IdleLines,
}

/// Lines that are no count of their own: which file, from 0, and which line.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub(crate) struct IdleLines {
    /// Say once more what another line says.
    pub(crate) twice: BTreeSet<(usize, u64)>,
    /// Have no count, and neither has any other line for the same.
    pub(crate) uncounted: BTreeSet<(usize, u64)>,
}
