//! What a comparison does, as facts from which a methods text is written.
//!
//! Whoever changes the test changes its facts here, so that no text lags behind.

use serde::Serialize;

use super::compare::{Comparison, Settings};
use super::plot_table::{BlockStructure, InferenceSpace, PlotTable};
use super::strata::Strata;
use super::untransformed::ASKED;
use super::verdict::Question;
use crate::randomisation::{Adjustment, Scheme, adjustment};

/// The facts of a comparison.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct TestDescription {
    /// Power of the scale on which counts are compared ([`Transformation`](super::Transformation)): 0 stabilises the
    /// variance, 1/2 is the square root.
    pub power: f64,
    /// Random effects of the count model, from which come k and the expectation of a plot.
    pub random: RandomTerms,
    /// The stratum from which the error of a comparison is taken.
    pub error: ErrorStratum,
    /// Degrees of freedom of each treatment's t, in their order.
    pub df: Vec<f64>,
    /// A difference is claimed only where the exact conditional test of the totals, two-sided, gives this or less.
    pub conditional_p: f64,
    /// Whether treatments are compared each under a k of its own, because the counts tell them apart.
    pub own_k: bool,
    /// Whether, for the same reason, untransformed counts must agree.
    pub untransformed: bool,
    /// How the model test allows for several treatments.
    pub model_adjustment: ModelAdjustment,
    /// How the randomisation test does; `None` where treatments were not drawn at random.
    pub randomisation_adjustment: Option<Adjustment>,
    /// Whether the randomisation test draws all treatments anew; otherwise it exchanges each with the control.
    pub redraws_all: bool,
}

/// Random effects of the count model.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum RandomTerms {
    /// None.
    None,
    /// Blocks, integrated out by adaptive quadrature.
    Blocks,
    /// Rows and columns, by Laplace's approximation.
    RowsAndColumns,
}

/// Where the error comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum ErrorStratum {
    /// Plots.
    Plots,
    /// Plots within blocks.
    PlotsWithinBlocks,
    /// Plots within rows and columns.
    PlotsWithinRowsAndColumns,
    /// Plots, whole plots, or both by Satterthwaite, as the comparison has it.
    PlotsAndWholePlots,
    /// How far the effect differs between groups of plots: the interaction of treatment and group.
    TreatmentByGroup,
}

/// How the model test allows for several treatments.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum ModelAdjustment {
    /// One treatment: nothing to allow for.
    None,
    /// Dunnett's law (1955) of the largest of several comparisons with one control.
    Dunnett,
}

/// The facts of the comparison `found`.
#[must_use]
pub fn describe(
    table: &PlotTable,
    question: &Question,
    settings: &Settings,
    found: &Comparison,
) -> TestDescription {
    let treatments = found.contrasts.len();
    let (random, error) = match &table.block_structure {
        BlockStructure::Unblocked => (RandomTerms::None, ErrorStratum::Plots),
        BlockStructure::Blocks(_) => (RandomTerms::Blocks, ErrorStratum::PlotsWithinBlocks),
        BlockStructure::RowColumn(_) => (
            RandomTerms::RowsAndColumns,
            ErrorStratum::PlotsWithinRowsAndColumns,
        ),
        BlockStructure::SplitPlot(_) => (RandomTerms::Blocks, ErrorStratum::PlotsAndWholePlots),
    };
    let error = match &table.inference {
        InferenceSpace::Narrow => error,
        InferenceSpace::Broad(_) => ErrorStratum::TreatmentByGroup,
    };
    TestDescription {
        power: Strata::new(table).power(),
        random,
        error,
        df: found.contrasts.iter().map(|c| c.df).collect(),
        conditional_p: question.alpha,
        own_k: found.own_k.shrinkage > 0.0,
        untransformed: found.own_k.shrinkage >= ASKED,
        model_adjustment: if treatments < 2 {
            ModelAdjustment::None
        } else {
            ModelAdjustment::Dunnett
        },
        randomisation_adjustment: settings.scheme.as_ref().map(|s| adjustment(s, treatments)),
        redraws_all: settings
            .scheme
            .as_ref()
            .is_some_and(|s| !matches!(s, Scheme::Within(_))),
    }
}
