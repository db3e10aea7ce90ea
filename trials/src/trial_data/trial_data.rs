//! Plots ready to compare: what was counted, and how treatments were drawn.

use halfgreen_analysis::comparison::{PrimaryTest, Question};
use halfgreen_analysis::randomisation::Scheme;
use serde::Serialize;

use super::crossover::Crossover;
use super::plot_table::uses_before;
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
    /// Row of a Latin square, or plot of a crossover.
    pub row: Option<String>,
    /// Column of a Latin square, or night of a crossover.
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

/// Position of each plot's treatment among `treatments`.
pub(crate) fn codes(plots: &[PlotCount], treatments: &[String]) -> Vec<usize> {
    let code = |p: &PlotCount| treatments.iter().position(|t| *t == p.treatment);
    plots.iter().map(|p| code(p).unwrap_or(0)).collect()
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
pub struct TrialData {
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
    pub lead: Option<PrimaryTest>,
    /// What the reader must know of the input.
    pub warnings: Vec<Warning>,
    /// What the trial holds beside the counts that decide.
    pub beside: Beside,
}

impl TrialData {
    /// Name of the occasion that is judged.
    pub(crate) fn main_occasion(&self) -> &str {
        self.beside.main.as_deref().unwrap_or("main")
    }

    /// Name for people of a treatment.
    pub(crate) fn name_of<'c>(&'c self, treatment: &'c str) -> &'c str {
        let at = self.treatments.iter().position(|t| t == treatment);
        at.and_then(|i| self.names.get(i))
            .map_or(treatment, String::as_str)
    }

    /// Mean count of a treatment per exposure, as the counts stand.
    pub(crate) fn mean_as_counted(&self, treatment: &str) -> f64 {
        let (mut count, mut exposure) = (0.0, 0.0);
        for plot in self.plots.iter().filter(|p| p.treatment == treatment) {
            count += plot.count as f64;
            exposure += plot.exposure;
        }
        count / exposure
    }

    /// Ratio of a treatment's mean to the control's, as the counts stand; `None` where nothing was found in
    /// the control or the treatment has no plot.
    pub(crate) fn ratio_as_counted(&self, treatment: &str) -> Option<f64> {
        let ratio = self.mean_as_counted(treatment) / self.mean_as_counted(&self.treatments[0]);
        ratio.is_finite().then_some(ratio)
    }

    /// The trial without its counts before treatment.
    pub(crate) fn without_before(&self) -> Self {
        let mut data = self.clone();
        data.beside.before = None;
        for plot in &mut data.plots {
            plot.before = None;
        }
        data
    }

    /// What the estimate allows for, in words.
    #[must_use]
    pub fn allowed_for(&self) -> String {
        let ground = match self.ground {
            Ground::Open => None,
            Ground::Blocks | Ground::WholePlots => Some("blocks"),
            Ground::RowsAndColumns if self.beside.crossover.is_some() => Some("plots and nights"),
            Ground::RowsAndColumns => Some("rows and columns"),
        };
        match (uses_before(self), ground) {
            (true, None) => "the counts before".to_owned(),
            (true, Some(ground)) => format!("the counts before and for {ground}"),
            (false, Some(ground)) => ground.to_owned(),
            (false, None) => "how the counts scatter".to_owned(),
        }
    }
}

/// The same plots counted on another occasion.
#[derive(Debug, Clone, PartialEq)]
pub struct Visit {
    /// Name of the occasion.
    pub occasion: String,
    /// Its counts, as trial data of their own.
    pub data: TrialData,
}

/// Animals of one stage found in one plot on the main occasion.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StageCount {
    /// Plot.
    pub plot: String,
    /// Treatment.
    pub treatment: String,
    /// Stage as written.
    pub stage: String,
    /// Animals.
    pub count: u64,
}

/// A plot whose treatment did not go as laid out.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Turned {
    /// The plot.
    pub plot: String,
    /// What happened, as written.
    pub event: String,
    /// Share of the plot that stayed covered.
    pub covered_fraction: f64,
    /// Treatment it was drawn to get.
    pub drawn: String,
    /// Treatment it is counted under by what happened; `None` if it is left out.
    pub counted_as: Option<String>,
}

/// The plots by what happened to them.
#[derive(Debug, Clone, PartialEq)]
pub struct Happened {
    /// Below this covered share a covered plot counts as uncovered.
    pub least_covered: f64,
    /// Plots that changed.
    pub turned: Vec<Turned>,
    /// The trial with their treatments changed.
    pub data: TrialData,
}

/// A treatment that the others need only come close to.
#[derive(Debug, Clone, PartialEq)]
pub struct Reference {
    /// Its code.
    pub treatment: String,
    /// How much worse, per cent of its mean, would still do.
    pub margin_percent: f64,
}

/// What a trial holds beside the counts that decide.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Beside {
    /// The count before treatment.
    pub before: Option<Box<Visit>>,
    /// Name of the main occasion.
    pub main: Option<String>,
    /// Later counts, in the order of the protocol.
    pub follow_ups: Vec<Visit>,
    /// Stages, where they were written.
    pub stages: Vec<StageCount>,
    /// Plots by what happened, where something did.
    pub happened: Option<Box<Happened>>,
    /// A reference that methods need only come close to.
    pub reference: Option<Reference>,
    /// The nights, where plots took turns over them.
    pub crossover: Option<Crossover>,
}
