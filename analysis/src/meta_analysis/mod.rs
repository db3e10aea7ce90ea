//! Many trials of one treatment: one answer, and how far trials differ (random-effects meta-analysis).
//!
//! **Question.** Over trials that each compared a treatment with its control, what is the effect on average, how far does it
//! differ from trial to trial, and what may the next trial find?
//!
//! **In.** One [`Effect`] a trial: an estimate on a scale where errors are about normal (the log of the ratio of means) and its
//! standard error. **Out.** [`Pooled`]: the average effect with its interval, the variance between trials with its interval, and
//! the prediction interval.
//!
//! | file | question |
//! |---|---|
//! | [`pool()`] | what is the average effect, how much do trials differ? |
//! | [`leave_one_out()`] | does the answer hang on one trial? |
//! | [`meta_regression()`] | does the effect follow what trials differ in (moderators)? |
//! | [`small_study_test`], [`funnel`] | do small trials find other effects than large ones? |
//! | [`pool_counts()`] | the same where arms are empty, from the counts |
//! | [`one_stage()`] | the same from all plots in one model |
//! | [`network()`] | several methods: which of them, by all trials together? |
//!
//! **Model.** Effect i is normal about a true effect with its own sampling variance v; true effects are normal about the average
//! with variance tau^2 (`DerSimonian` & Laird 1986, Controlled Clinical Trials 7:177-188).
//!
//! **Assumptions.** Trials are independent; each gives one effect. Several tests of one archive are the caller's to adjust
//! ([`multiplicity`](crate::multiplicity)).
//!
//! **Whose error weighs a trial.** Its own calibrated one, with its degrees of freedom. Variances from few plots are moderated
//! before they become weights, and the Hartung-Knapp factor is then used as it comes, for the scatter between trials tells more
//! than variances that are themselves estimated. Known variances are used as they are. What this covers beside a plain
//! pool of plain standard errors is measured from raw counts by `benches/pooling` (`POOLING.md`): with 5, 10 and 40 trials of four to eight
//! clumped pairs 95 % intervals hold 94.6 to 94.9 % on average over the cells, plain ones 89 to 94 %. Lowest are cells of many, less clumped
//! counts (k 2, mean 20): 93 to 94 %, for there the variances of trials look more unlike than they are. Equal weights hold 95 % there,
//! at intervals 3 % wider; what they cost where trials differ much in size was not measured.
//!
//! **When not to use it.** On trials that measured different things; on effects of one trial against one control as if they were
//! several trials.

mod effect;
mod weighted_fit;
mod moderation;
mod between_variance;
mod pool;
mod leave_one_out;
mod meta_regression;
mod small_study;
mod correlated;
mod network;
mod on_a_grid;
mod one_stage;
mod level_free;
mod random_effect;
mod pool_counts;

pub use effect::{BetweenVariance, Effect, IntervalMethod, PoolOptions};
pub use leave_one_out::{LeftOut, leave_one_out};
pub use meta_regression::{Coefficient, MetaRegression, meta_regression};
pub use moderation::{Moderation, moderated};
pub use network::{Network, NetworkEffect, NetworkTrial, TreatmentContrast, network};
pub use one_stage::{ManyTrials, OneStage, OneStageEffect, one_stage};
pub use pool::{Pooled, pool};
pub use pool_counts::{ArmTotal, PooledCounts, TrialCounts, pool_counts};
pub use small_study::{FunnelPoint, SmallStudyTest, Smallness, funnel, small_study_test};
