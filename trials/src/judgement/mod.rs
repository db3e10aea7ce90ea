//! From checked counts to a verdict.
//!
//! | part | in -> out |
//! |---|---|
//! | [`judge`] | [`TrialData`](crate::trial_data::TrialData) -> a [`Judgement`]: tests, interval, and one of four verdicts for each method |
//! | [`judge_turf`], [`judge_turf_of_trial`] | scores, cover, lengths or steps by plot -> difference from the control, and a verdict |
//!
//! The plot is the unit: cores are summed before anything is compared. Nothing is computed here that
//! belongs to `analysis`; this folder decides what is asked of it and says the answer in words.

mod bounds;
mod changes;
mod diagnostics;
mod doubts;
mod efficacy;
mod fits;
mod happened;
mod judge;
mod occasions;
mod one_plot_out;
mod reference;
mod result;
mod stages;
mod tested_ratio;
mod turf;
mod two_groups;
mod wording;

pub use changes::{ChangeRow, LastedRow, SECOND_ANSWER};
pub use diagnostics::{
    Diagnostics, Leverage, NeighboursRow, Residuals, SimulatedRow, ZeroInflationRow,
};
pub use efficacy::{Efficacy, EfficacyRow, Formula};
pub use happened::{AsHappened, LEAST_COVERED, as_happened};
pub use judge::judge;
pub use occasions::OccasionRow;
pub use one_plot_out::{OnePlotOut, TurnedBy};
pub use reference::{NonInferiority, NonInferiorityRow};
pub use result::{
    CoefficientRow, ContrastRow, Dispersion, Judgement, MeanRow, ModelFit, PlotRow, PoissonFit,
    RandomisationRow, TreatmentTest, Units, Verdict,
};
pub use stages::{StageRow, Stages};
pub use tested_ratio::TestedRatio;
pub use turf::{
    EffectRow, PlotReading, Response, TurfJudgement, TurfMean, TurfQuestion, judge_turf,
    judge_turf_of_trial,
};
pub use two_groups::{ExactRow, TwoGroups};
pub use wording::headline;
