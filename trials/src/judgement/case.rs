//! Plots ready to compare: what was counted, and how treatments were drawn.

use halfgreen_analysis::comparison::{Lead, Question};
use halfgreen_analysis::randomisation::Scheme;
use serde::Serialize;

use crate::Warning;

/// One plot with its cores summed.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PlotCount {
    /// Name of the plot.
    pub plot: String,
    /// Treatment it was drawn to get.
    pub treatment: String,
    /// Block, where there are blocks.
    pub block: Option<String>,
    /// Row of a Latin square.
    pub row: Option<String>,
    /// Column of a Latin square.
    pub column: Option<String>,
    /// Count, cores summed.
    pub count: u64,
    /// Cores counted.
    pub cores: usize,
    /// Sampled area (or number of cores, or 1), to which the mean is proportional.
    pub exposure: f64,
    /// Count before treatment, brought to the planned number of cores.
    pub before: Option<f64>,
    /// Place of the plot's centre, metres, where known.
    pub place: Option<(f64, f64)>,
}

/// Which grouping of plots the design used.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Ground {
    /// None.
    Open,
    /// Blocks or pairs.
    Blocks,
    /// Rows and columns.
    RowsAndColumns,
    /// Blocks, and whole plots within them.
    WholePlots,
}

/// Everything a judgement needs.
#[derive(Debug, Clone, PartialEq)]
pub struct Case {
    /// The plots, in file or layout order.
    pub plots: Vec<PlotCount>,
    /// Treatments in order, the control first.
    pub treatments: Vec<String>,
    /// Names of the treatments for people, in the same order.
    pub names: Vec<String>,
    /// Grouping.
    pub ground: Ground,
    /// What a mean is per: "core", "m2" or "plot".
    pub per: &'static str,
    /// What was counted.
    pub counted: String,
    /// The question.
    pub question: Question,
    /// Draws the design allowed; `None` if treatments were not drawn at random.
    pub scheme: Option<Scheme>,
    /// Number of allocations the design had, in full.
    pub allocations: Option<String>,
    /// Test that leads, where a seal fixed it.
    pub lead: Option<Lead>,
    /// What the reader must know of the input.
    pub warnings: Vec<Warning>,
}
