//! Plots ready to compare: what was counted, and how treatments were drawn.

use halfgreen_analysis::comparison::{PrimaryTest, Question};
use serde::{Deserialize, Serialize};

use super::crossover::Crossover;
use super::reference_set::ReferenceSet;
use crate::Warning;
use crate::design::{BlockStructure, Factor, Grouping, Sample, VerdictAbout};

/// One plot with its cores summed.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct PlotCount {
    /// Name of the plot.
    pub plot: String,
    /// Treatment it was randomised to.
    pub treatment: String,
    /// Block, where there are blocks.
    pub block: Option<String>,
    /// Green, in a trial on several.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub green: Option<String>,
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

impl PlotCount {
    /// The plot as its design sees it.
    pub(crate) fn unit(&self) -> Unit<'_> {
        Unit {
            plot: &self.plot,
            treatment: &self.treatment,
            block: self.block.as_deref(),
            row: self.row.as_deref(),
            column: self.column.as_deref(),
        }
    }
}

/// A plot as its design sees it, whatever was counted or read in it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Unit<'a> {
    pub(crate) plot: &'a str,
    pub(crate) treatment: &'a str,
    pub(crate) block: Option<&'a str>,
    pub(crate) row: Option<&'a str>,
    pub(crate) column: Option<&'a str>,
}

/// Position of each unit's treatment among `treatments`.
pub(crate) fn codes<'a>(
    units: impl IntoIterator<Item = Unit<'a>>,
    treatments: &[String],
) -> Vec<usize> {
    let code = |u: Unit<'_>| treatments.iter().position(|t| t == u.treatment);
    units.into_iter().map(|u| code(u).unwrap_or(0)).collect()
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
    /// The factors whose levels the treatments combine; empty where treatments stand for themselves.
    pub factors: Vec<Factor>,
    /// Block structure.
    pub blocking: BlockStructure,
    /// What the verdict is about; `None` where one green and blocks without replicates leave no choice.
    pub about: Option<About>,
    /// What a mean is per: "core", "m2" or "plot".
    pub per: &'static str,
    /// What was counted.
    pub counted: String,
    /// What it was counted in.
    pub sample: Sample,
    /// The question.
    pub question: Question,
    /// What the design could have drawn; `None` if treatments were not drawn at random.
    pub reference_set: Option<ReferenceSet>,
    /// Primary test, where a seal fixed it.
    pub primary_test: Option<PrimaryTest>,
    /// What the reader must know of the input.
    pub warnings: Vec<Warning>,
    /// Data of secondary analyses.
    pub secondary: Secondary,
}

impl TrialData {
    /// Name of the occasion that is judged.
    pub(crate) fn main_occasion(&self) -> &str {
        self.secondary.main.as_deref().unwrap_or("main")
    }

    /// Name for people of a treatment.
    pub(crate) fn name_of<'c>(&'c self, treatment: &'c str) -> &'c str {
        let at = self.treatments.iter().position(|t| t == treatment);
        at.and_then(|i| self.names.get(i))
            .map_or(treatment, String::as_str)
    }

    /// Mean count of a treatment per exposure, as the counts stand.
    pub(crate) fn mean_as_counted(&self, treatment: &str) -> f64 {
        self.mean_where(|plot| plot.treatment == treatment)
    }

    /// Mean count per exposure of some plots, as the counts stand.
    fn mean_where(&self, among: impl Fn(&PlotCount) -> bool) -> f64 {
        let (mut count, mut exposure) = (0.0, 0.0);
        for plot in self.plots.iter().filter(|p| among(p)) {
            count += plot.count as f64;
            exposure += plot.exposure;
        }
        count / exposure
    }

    /// Ratio of a level's mean to that of the factor's first level, as the counts stand; `None` where nothing was found
    /// under the first level or either has no plot.
    pub(crate) fn level_ratio_as_counted(&self, factor: &Factor, level: usize) -> Option<f64> {
        let mean = |at: usize| self.mean_where(|p| factor.level_of.get(&p.treatment) == Some(&at));
        let ratio = mean(level) / mean(0);
        ratio.is_finite().then_some(ratio)
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
        data.secondary.before = None;
        for plot in &mut data.plots {
            plot.before = None;
        }
        data
    }
}

/// What the verdict is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct About {
    /// Whether it speaks of greens or of blocks.
    pub grouping: Grouping,
    /// These, or others like them.
    pub verdict: VerdictAbout,
}

impl About {
    /// "on greens like these".
    #[must_use]
    pub fn place(self) -> String {
        self.verdict.place(self.grouping)
    }
}

/// The same plots counted on another occasion.
#[derive(Debug, Clone, PartialEq)]
pub struct OccasionCounts {
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

/// A protocol deviation: a plot whose treatment did not go as randomised.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Deviation {
    /// The plot.
    pub plot: String,
    /// What happened, as written.
    pub event: String,
    /// Share of the plot that stayed covered.
    pub covered_fraction: f64,
    /// Treatment it was randomised to.
    pub randomised_to: String,
    /// Treatment it is analysed under as treated; `None` if it is left out.
    pub analysed_as: Option<String>,
}

/// The plots as treated.
#[derive(Debug, Clone, PartialEq)]
pub struct AsTreatedData {
    /// Below this covered share a covered plot is analysed as uncovered.
    pub least_covered: f64,
    /// Plots that deviated.
    pub deviations: Vec<Deviation>,
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

/// Data of secondary analyses: what a trial holds beside the counts that decide.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Secondary {
    /// The count before treatment.
    pub before: Option<Box<OccasionCounts>>,
    /// Name of the main occasion.
    pub main: Option<String>,
    /// Later counts, in the order of the protocol.
    pub follow_ups: Vec<OccasionCounts>,
    /// Stages, where they were written.
    pub stages: Vec<StageCount>,
    /// The trial as treated, where that differs from as randomised.
    pub as_treated: Option<Box<AsTreatedData>>,
    /// A reference that methods need only come close to.
    pub reference: Option<Reference>,
    /// Animals per square metre above which action pays, by the user's own figure.
    pub threshold_per_m2: Option<f64>,
    /// The nights, where plots took turns over them.
    pub crossover: Option<Crossover>,
}
