//! From checked counts to a verdict.
//!
//! | part | in -> out |
//! |---|---|
//! | [`Case`] | a trial's layout and checked counts, or a table by its columns -> plots ready to compare |
//! | [`judge`] | a case -> a [`Judgement`]: tests, interval, and one of four verdicts for each method |
//! | [`judge_turf`], [`judge_turf_of_trial`] | scores, cover, lengths or steps by plot -> difference from the control, and a verdict |
//! | [`describe`] | a table of counts -> how many, how clumped |
//!
//! The plot is the unit: cores are summed before anything is compared. Nothing is computed here that
//! belongs to `analysis`; this folder decides what is asked of it and says the answer in words.

mod bounds;
mod case;
mod changes;
mod crossover;
pub mod describe;
mod diagnostics;
mod doubts;
mod efficacy;
mod fits;
mod from_table;
mod from_trial;
mod happened;
mod histogram;
mod judge;
mod meanings;
mod occasions;
mod one_plot_out;
mod plot_table;
mod reference;
mod result;
mod rows;
mod square;
mod stages;
mod tested_ratio;
mod turf;
mod two_groups;
mod wording;

pub use case::{Beside, Case, Ground, Happened, PlotCount, Reference, StageCount, Turned, Visit};
pub use changes::{ChangeRow, LastedRow, SECOND_ANSWER};
pub use crossover::Crossover;
pub use diagnostics::{
    Diagnostics, Leverage, NeighboursRow, Residuals, SimulatedRow, ZeroInflationRow,
};
pub use efficacy::{Efficacy, EfficacyRow, Formula};
pub use from_table::{TableQuestion, case_from_table, tells};
pub use from_trial::case_from_trial;
pub use happened::{AsHappened, LEAST_COVERED, as_happened};
pub use histogram::{Bar, histogram};
pub use judge::judge;
pub use occasions::OccasionRow;
pub use one_plot_out::{OnePlotOut, TurnedBy};
pub use reference::{NonInferiority, NonInferiorityRow};
pub use result::{
    CoefficientRow, ContrastRow, Dispersion, Judgement, MeanRow, ModelFit, PlotRow, PoissonFit,
    RandomisationRow, TreatmentTest, Units, Verdict,
};
pub use rows::{DescribedColumns, read_rows};
pub use stages::{StageRow, Stages};
pub use tested_ratio::TestedRatio;
pub use turf::{
    EffectRow, PlotReading, Response, TurfJudgement, TurfMean, TurfQuestion, judge_turf,
    judge_turf_of_trial,
};
pub use two_groups::{ExactRow, TwoGroups};
pub use wording::{headline, percent};

pub use crate::spelling::number;
