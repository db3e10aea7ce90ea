//! What `judge` gives back, with the keys that programs read.

use halfgreen_analysis::comparison::{
    AtNoEffect, Better, Call, OwnK, PrimaryTest, Relevance, TestDescription, Untransformed,
};
use serde::Serialize;

use super::allowances::{Allowance, in_words};
use super::as_treated::AsTreated;
use super::by_group::{ByGroup, GroupRow};
use super::diagnostics::Diagnostics;
use super::efficacy::Efficacy;
use super::factors::{FactorRow, InteractionRow};
use super::non_inferiority::NonInferiority;
use super::occasions::OccasionRow;
use super::over_time::{ChangeRow, TreatmentByOccasionRow};
use super::stages::Stages;
use super::two_groups::TwoGroups;
use super::wording::tell_apart;
use crate::text::rounding::{Changes, NONE};
use crate::threshold::Beside;
use crate::trial_data::{AllocationCount, Crossover, PlotCount, TrialData};

/// A judged trial.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Judgement {
    /// How much was counted.
    pub units: Units,
    /// Overdispersion.
    pub dispersion: Dispersion,
    /// Plain maximum likelihood, negative binomial, blocks as constants.
    pub model: ModelFit,
    /// The same with Poisson variance.
    pub poisson: PoissonFit,
    /// Mean counts, control first.
    pub means: Vec<MeanRow>,
    /// Each method against the control. In a factorial trial these are description: the verdicts are those of `factors`.
    pub contrasts: Vec<ContrastRow>,
    /// The randomisation test; absent where treatments were not drawn at random.
    pub randomisation: Option<RandomisationRow>,
    /// The trade's formulas.
    pub efficacy: Efficacy,
    /// The verdicts, in the order of the contrasts, or of the factors in a factorial trial.
    pub verdicts: Vec<Verdict>,
    /// The primary test.
    pub primary_test: PrimaryTest,
    /// What the comparison does: scale, error, degrees of freedom, adjustment.
    pub method: TestDescription,
    /// Error rate over all methods together.
    pub alpha: f64,
    /// Ratio of method to control that would just be worth having.
    pub worthwhile_ratio: f64,
    /// Whether fewer or more is better.
    pub better: Better,
    /// What was counted.
    pub counted: String,
    /// What a mean is per.
    pub per: &'static str,
    /// The plots that were compared.
    pub plots: Vec<PlotRow>,
    /// Whether the answer can be believed.
    pub diagnostics: Diagnostics,
    /// Every occasion from the main one, judged alike; empty without later counts.
    pub occasions: Vec<OccasionRow>,
    /// Change from baseline: BACI ratio of each method; null without counts before.
    pub change_from_baseline: Option<Vec<ChangeRow>>,
    /// Treatment by occasion interaction; null without later counts.
    pub treatment_by_occasion: Option<TreatmentByOccasionRow>,
    /// Stages on the main occasion; null where none was written.
    pub stages: Option<Stages>,
    /// The comparison as treated; null where that is as randomised.
    pub as_treated: Option<AsTreated>,
    /// Methods beside a reference; null where none was named.
    pub non_inferiority: Option<NonInferiority>,
    /// Exact comparison of two groups; null with blocks or several methods.
    pub two_groups: Option<TwoGroups>,
    /// Means beside the user's own figure and beside published ones; null where they are not densities.
    pub threshold: Option<Beside>,
    /// Plots that took turns over nights; absent from other designs.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub crossover: Option<Crossover>,
    /// Main effects: each level of each factor against the factor's first; empty unless factors were crossed.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub factors: Vec<FactorRow>,
    /// Interactions of every two factors; empty unless factors were crossed.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub interactions: Vec<InteractionRow>,
    /// Every method on every green of a trial on several; absent from other trials.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub greens: Vec<GroupRow>,
    /// Every method in every block, where blocks hold several plots of a treatment; absent from other tables.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub blocks: Vec<GroupRow>,
    /// What the verdict is about, how far effects differ between greens or blocks, and the other question; absent
    /// where these leave no choice.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub by_group: Option<ByGroup>,
}

impl Judgement {
    /// What the estimates of all methods together allow for, in words.
    #[must_use]
    pub fn allowed_for(&self, data: &TrialData) -> String {
        let all = [Allowance::Before, Allowance::Blocks, Allowance::Scatter];
        let named = |a: &Allowance| self.contrasts.iter().any(|c| c.allows_for.contains(a));
        in_words(data, &all.into_iter().filter(named).collect::<Vec<_>>())
    }

    /// The comparisons that get a verdict, in the order of the verdicts.
    pub fn headline(&self) -> impl Iterator<Item = &ContrastRow> {
        let alone = self.factors.is_empty();
        let treatments = self.contrasts.iter().filter(move |_| alone);
        self.factors.iter().map(|f| &f.contrast).chain(treatments)
    }
}

/// How much was counted.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct Units {
    /// Plots compared.
    pub plots: usize,
    /// Blocks, or 0.
    pub blocks: usize,
    /// Cores.
    pub subsamples: usize,
    /// Sum of all counts.
    pub total: u64,
}

/// Overdispersion by the model that the verdict uses.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Dispersion {
    /// k of a plot's count; null where it scatters no more than Poisson.
    pub k: Option<f64>,
    /// Standard deviation of each grouping's effect on the log scale (blocks; or rows and columns).
    pub block_sd: Vec<f64>,
    /// Whether treatments differ in k.
    pub own_k: OwnK,
    /// Marginal log-likelihood of the model, block effects integrated out, with every constant.
    pub log_likelihood: f64,
    /// Share of a plot's variance beyond Poisson.
    pub overdispersion_share: f64,
    /// Pearson chi-squared of the Poisson fit over its degrees of freedom: 1 for random scatter.
    pub poisson_pearson_per_df: Option<f64>,
}

/// A fit by maximum likelihood.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ModelFit {
    /// Variance law.
    pub family: &'static str,
    /// k; null at the Poisson limit.
    pub k: Option<f64>,
    /// Its standard error.
    pub k_se: Option<f64>,
    /// Log-likelihood with every constant.
    pub log_likelihood: f64,
    /// Deviance.
    pub deviance: f64,
    /// Plots less coefficients.
    pub residual_df: usize,
    /// Coefficients on the log scale.
    pub coefficients: Vec<CoefficientRow>,
    /// Likelihood-ratio test of treatment, k estimated anew without it.
    pub treatment_test: TreatmentTest,
    /// Score test of treatment, at the fit without it.
    pub treatment_score_test: TreatmentTest,
}

/// A coefficient; nulls where it runs to infinity.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CoefficientRow {
    /// Term.
    pub term: String,
    /// Estimate.
    pub estimate: Option<f64>,
    /// Standard error.
    pub se: Option<f64>,
}

/// The Poisson fit in short.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PoissonFit {
    /// Log-likelihood with every constant.
    pub log_likelihood: f64,
    /// Deviance.
    pub deviance: f64,
    /// Pearson chi-squared.
    pub pearson_chi2: f64,
    /// Plots less coefficients.
    pub residual_df: usize,
    /// Likelihood-ratio test of treatment.
    pub treatment_test: TreatmentTest,
    /// Score test of treatment.
    pub treatment_score_test: TreatmentTest,
}

/// A test of treatment by chi-squared.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct TreatmentTest {
    /// Likelihood ratio: twice the difference of the log-likelihoods; or the score statistic.
    pub statistic: f64,
    /// Degrees of freedom.
    pub df: usize,
    /// Tail area of chi-squared.
    pub p: f64,
}

/// A mean per exposure.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct MeanRow {
    /// Treatment.
    pub treatment: String,
    /// Mean as counted: total count over total exposure.
    pub mean: f64,
    /// The mean that the limits are about, see `estimand`.
    pub marginal_mean: f64,
    /// Lower limit of the marginal mean; null where unbounded.
    pub low: Option<f64>,
    /// Upper limit; null where unbounded.
    pub high: Option<f64>,
    /// Confidence level of the limits, for this mean alone.
    pub confidence_level: f64,
    /// What the limits are limits of.
    pub estimand: &'static str,
}

/// What the limits of a mean are limits of.
pub const MARGINAL_MEAN: &str = "marginal mean: what the plots of this trial, in their blocks and with their counts before, would \
                                 hold on average if all got this treatment";

/// A method against the control.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ContrastRow {
    /// Method.
    pub treatment: String,
    /// Control.
    pub control: String,
    /// Ratio of mean counts; null where it is infinite or not defined.
    pub ratio: Option<f64>,
    /// Ratio at which t is 0, the estimate that belongs to the test and its limits; null where a treatment is empty.
    pub ratio_at_t_zero: Option<f64>,
    /// Ratio of the counts as they stand, per core or area; null where it is infinite or not defined.
    pub ratio_as_counted: Option<f64>,
    /// What the estimate allows for that the counts as they stand do not, in so far as it moved the ratio.
    pub allows_for: Vec<Allowance>,
    /// Ratio that would just be worth having, beside which these are told.
    #[serde(skip)]
    pub worthwhile_ratio: f64,
    /// Lower limit of the ratio; null where there is none.
    pub low: Option<f64>,
    /// Upper limit; null where there is none.
    pub high: Option<f64>,
    /// Whether the lower limit is only what holds for any scatter whatever (Markov's inequality).
    pub low_is_markov_bound: bool,
    /// Whether the upper limit is.
    pub high_is_markov_bound: bool,
    /// 100 (1 - ratio).
    pub reduction_percent: Option<f64>,
    /// Confidence level of the limits.
    pub confidence_level: f64,
    /// Comparisons that the level, and adjusted p, hold for together.
    pub family: usize,
    /// p of the primary test, adjusted: the verdict follows it.
    pub p: f64,
    /// Difference of the transformed counts at a ratio of 1, method less control.
    pub difference: f64,
    /// Its standard error, from the mean square of the design's stratum.
    pub standard_error: f64,
    /// Student's t: the difference over its standard error; null where nothing scatters.
    pub t: Option<f64>,
    /// Its degrees of freedom.
    pub df: f64,
    /// The t beyond which a ratio lies outside the limits; null without degrees of freedom.
    pub critical_t: Option<f64>,
    /// The fit at a ratio of 1, and the residual of each plot, in the order of `plots`.
    pub at_no_effect: AtNoEffect,
    /// The same comparison of counts as they are, which must agree where methods differ in k; null where it is not asked.
    pub untransformed: Option<Untransformed>,
    /// Exact conditional test of totals, two-sided: larvae strewn at random would lie as unevenly.
    pub p_conditional: f64,
    /// Model test alone: p of t, or of `untransformed` where that is larger, and never below `p_conditional`.
    pub p_model: f64,
    /// The same, adjusted for several methods.
    pub p_model_adjusted: f64,
    /// Randomisation test alone.
    pub p_randomisation: Option<f64>,
    /// Its standard error, where allocations were drawn and not all counted.
    pub p_randomisation_se: Option<f64>,
    /// The same, adjusted.
    pub p_randomisation_adjusted: Option<f64>,
}

impl ContrastRow {
    /// The lower limit as people are told it: none where it is only the bound by Markov's inequality.
    #[must_use]
    pub fn stated_low(&self) -> Option<f64> {
        self.low.filter(|_| !self.low_is_markov_bound)
    }

    /// The upper limit as people are told it: none where it is only the bound by Markov's inequality.
    #[must_use]
    pub fn stated_high(&self) -> Option<f64> {
        self.high.filter(|_| !self.high_is_markov_bound)
    }

    /// How the estimate, its limits and the change worth having are told together.
    #[must_use]
    pub fn changes(&self) -> Changes {
        Changes::of(self.ratio, self.stated_low(), self.stated_high()).beside(self.worthwhile_ratio)
    }

    /// The estimate as a change, or a dash.
    #[must_use]
    pub fn change_in_words(&self) -> String {
        let told = |ratio| self.changes().change(ratio);
        self.ratio.map_or(NONE.to_owned(), told)
    }

    /// The limits as changes.
    #[must_use]
    pub fn range_in_words(&self) -> String {
        self.changes()
            .between(self.stated_low(), self.stated_high())
    }

    /// The counts as they stand, where the estimate reads otherwise.
    #[must_use]
    pub fn reads_otherwise(&self) -> Option<f64> {
        let plain = self.ratio_as_counted?;
        self.ratio
            .is_some_and(|ratio| tell_apart(ratio, plain))
            .then_some(plain)
    }
}

/// The reference set of the randomisation test.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct RandomisationRow {
    /// Allocations the design could have given, in full.
    pub allocations: AllocationCount,
    /// Allocations counted for one method against the control.
    pub drawn: f64,
    /// Whether all were counted.
    pub exact: bool,
    /// Smallest p-value that one method against the control, or one factor, could have given.
    pub smallest_p: f64,
    /// Seed of the sampled allocations.
    pub seed: u64,
    /// Score of each plot, in the order of `plots`: the test compares their means.
    pub scores: Vec<f64>,
}

/// One verdict.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Verdict {
    /// Method.
    pub treatment: String,
    /// The call.
    pub call: Call,
    /// Whether the difference is worth having.
    pub relevance: Relevance,
    /// The verdict in plain words.
    pub sentence: String,
}

/// A plot in the result.
pub type PlotRow = PlotCount;
