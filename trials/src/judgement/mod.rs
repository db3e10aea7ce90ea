//! From checked counts to a verdict.
//!
//! | part | in -> out |
//! |---|---|
//! | [`judge`] | [`TrialData`](crate::trial_data::TrialData) -> a [`Judgement`]: tests, interval, and one of four verdicts for each method |
//! | [`judge_turf`], [`judge_turf_of_trial`] | scores, cover, lengths or steps by plot -> difference from the control, and a verdict |
//!
//! The plot is the unit: cores are summed before anything is compared. Nothing is computed here that
//! belongs to `analysis`; this folder decides what is asked of it and says the answer in words.

mod allowances;
mod bounds;
mod by_group;
mod over_time;
mod diagnostics;
mod diagnostic_words;
mod efficacy;
mod factors;
mod fits;
mod as_treated;
mod judge;
mod occasions;
mod one_page;
mod leave_one_out;
mod non_inferiority;
mod result;
mod secondary;
mod sentence;
mod stages;
mod tested_ratio;
mod threshold;
mod turf;
mod two_groups;
mod wording;

pub use allowances::Allowance;
pub use as_treated::{AsTreated, LEAST_COVERED, as_treated};
pub use by_group::{ByGroup, GroupRow, OtherReading, SpreadRow};
pub use diagnostics::{
    AutocorrelationRow, Diagnostics, Leverage, Residuals, SimulatedRow, ZeroInflationRow,
};
pub use efficacy::{Efficacy, EfficacyRow, Formula, NO_EFFICACY};
pub use factors::{FactorRow, InteractionRow};
pub use judge::{can_be_judged, judge};
pub use leave_one_out::{InfluentialPlot, LeaveOneOut};
pub use non_inferiority::{NonInferiority, NonInferiorityRow};
pub use occasions::OccasionRow;
pub use one_page::RULE_IN_WORDS;
pub use over_time::{ChangeRow, SECOND_ANSWER, TreatmentByOccasionRow};
pub use result::{
    CoefficientRow, ContrastRow, Dispersion, Judgement, MARGINAL_MEAN, MeanRow, ModelFit, PlotRow,
    PoissonFit, RandomisationRow, TreatmentTest, Units, Verdict,
};
pub use sentence::Sentence;
pub use stages::{StageRow, Stages};
pub use tested_ratio::TestedRatio;
pub use turf::{
    EffectRow, PlotReading, RatioRow, Response, TurfJudgement, TurfMean, TurfQuestion, judge_turf,
    judge_turf_of_trial,
};
pub use two_groups::{ExactRow, TwoGroups};
pub(crate) use wording::enough_to_matter;
pub use wording::headline;
