//! Treatments against a control: the primary test and its confidence interval.
//!
//! **Question.** By what ratio do mean counts under each treatment differ from the control's, how sure
//! is that, and is the difference of practical relevance?
//!
//! **In.** A [`PlotTable`]: one count for each plot (samples summed, their number or area as exposure), its
//! treatment and its place in the design; the [`Question`], fixed before counting.
//! **Out.** A [`Comparison`]: for each treatment the ratio with its interval, the p-values of both
//! tests, and one of four calls.
//!
//! # The two tests
//! *Model*: an analysis of variance of transformed counts. A negative binomial with random blocks is
//! fitted at the ratio in question (1 for "no effect"); its k gives the variance-stabilising [`Transformation`],
//! and the model the conditional expectation and standard deviation of each plot's transformed count given its
//! block. The residuals are compared between treatment and control by Student's t, the error taken from
//! the stratum that the design gives the contrast: plots within blocks, rows and columns, or whole plots. At
//! a ratio of 1, with three pairs, this is the t test of variance-stabilised counts.
//!
//! Why not the likelihood ratio of the count model itself: with few plots k is known badly, and whoever
//! trusts it claims too much; an error taken from the plots in hand has Student's law
//! whatever k is. Little more can be had: of the unbiased tests for normal errors of unknown size the t
//! test is the most powerful (Lehmann & Romano 2005, "Testing Statistical Hypotheses", 3rd ed., ch. 5),
//! so that a test which finds more where counts happen to be Poisson claims too much where they are not.
//!
//! *k of each treatment*: a treatment may change how clumped animals lie as well as how many there are. The expectation of a
//! transformed count depends on both, so that one k would pass a change of k off as a change of the mean. As far as the
//! counts tell treatments apart by k (`own_k`), each is compared under a k of its own; what estimating it takes from each score is taken off,
//! and t is corrected for the skewness that is left. [`OwnK`] tells what was done. Where the evidence is clear, counts as they are, over their means,
//! must agree ([`Untransformed`]): their expectation hangs on no law. The price, where k is the same after all, is about two points of power.
//!
//! *Error that fits the comparison*: the mean square is pooled over all plots, but shared out by the variance that the model
//! expects of each, so that methods which leave nothing to scatter do not make the error of one that does nothing small.
//!
//! *Exact conditional test of totals*: no counts vary less than Poisson counts. A ratio is rejected only where
//! this test, two-sided, rejects it at alpha too, so that five against none are never a finding at 5 %, however evenly they
//! lie. Where hardly a count is found in two plots this guard costs power (up to eight points in pairs with a mean of two):
//! it is the side taken between claiming on a handful of animals and waiting for more.
//!
//! *Randomisation*: [`randomisation`](crate::randomisation) on scores of the count model without
//! treatment, (y - m) / (1 + m/k): the locally most powerful scores for a ratio. It asks nothing of
//! the counts, but with few plots it is coarse.
//!
//! Several treatments are adjusted: Dunnett's for the model; for the randomisation test closed testing, Holm's method
//! beyond four, the step-down maximum where all are re-drawn ([`describe`]). What
//! rates of false claims, what coverage and what power this gives is measured by the calibration bench
//! (`benches/calibration/CALIBRATION.md` in this crate).
//!
//! # What the conclusions are about
//! Where a treatment has several plots in a block, or blocks lie on several sites, its effect may differ from one to the next.
//! [`InferenceSpace::Narrow`]: these blocks; plots are the error. [`InferenceSpace::Broad`]: groups like these; the interaction of
//! treatment and group is the error, and where plots were lost both strata share in it (Satterthwaite). Re-drawn within
//! these groups, treatments test the sharp null that no plot would have held another count: that tells nothing of other groups,
//! so that the randomisation test never leads there. [`effects_by_group`] has each group's effect and, as
//! [`EffectSpread`], how far they differ. `BY_GROUP.md` beside the bench measures both.
//!
//! # Which one is primary
//! Fixed by the design alone ([`primary_test`]): the randomisation test where its smallest attainable p-value is
//! a fifty-thousand-millionth of alpha or less (41 pairs at 5 %); with fewer plots the model test.
//!
//! # The estimate
//! The ratio is the maximum-likelihood estimate of the negative binomial model with random blocks and one k. The interval inverts the
//! test, whose own estimate is the ratio at which t is 0 ([`Contrast::ratio_at_t_zero`]); where a few counts
//! dwarf the rest the two lie well apart (0.76 and 0.59 in a published trial of polyps).
//!
//! # The interval
//! Every ratio that the model test does not reject, k and block variance estimated anew at each. Where
//! the primary test is the other one and the two disagree about no effect, the limit next to it is put
//! at no effect: a verdict never contradicts its interval.
//!
//! # Crossed factors
//! Where the treatments are the combinations of two or more factors, [`factorial`] asks each factor's own question over the
//! levels of the others: the same tests and interval, of another contrast.
//!
//! **When not to use it.** On counts that were not taken alike in every plot; on one pair of plots, from
//! which no test is possible (the answer then is an interval from 0 to infinity).

mod plot_table;
mod verdict;
mod mixed_model;
mod transformation;
mod moment_series;
mod block_projection;
mod strata;
mod conditional_test;
mod contrast_estimate;
mod contrast_test;
mod own_k;
mod joint_moments;
mod plot_scores;
mod untransformed;
mod model_test;
mod p_values;
mod at_no_effect;
mod primary_test;
mod profile;
mod means;
mod compare;
mod factor_coding;
mod fourfold;
mod prepared_test;
mod prediction;
mod description;
mod interaction;
mod factorial;
mod spread;
mod by_group;
#[cfg(test)]
mod strata_tests;

pub use at_no_effect::AtNoEffect;
pub use by_group::{GroupEffect, GroupEffects, effect_spreads, effects_by_group};
pub use compare::{Comparison, Contrast, Settings, compare};
pub use description::{ErrorStratum, ModelAdjustment, RandomTerms, TestDescription, describe};
pub use factorial::{Factorial, MainEffect, evaluate_main_effects, factorial};
pub use interaction::Interaction;
pub use means::TreatmentMean;
pub use model_test::markov_limits;
pub use moment_series::ChebyshevSeries;
pub use own_k::OwnK;
pub use plot_table::{BlockStructure, InferenceSpace, PlotTable};
pub use prepared_test::{EstimatedContrast, EvaluatedContrast, Evaluation, PreparedTest};
pub use primary_test::{PrimaryTest, largest_attainable_p, primary_test};
pub use profile::overdispersion_share;
pub use spread::EffectSpread;
pub use transformation::Transformation;
pub use untransformed::Untransformed;
pub use verdict::{Better, Call, Question, Relevance};
