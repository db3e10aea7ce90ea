//! Counts and question to ratios, intervals, p-values and calls.

use rayon::prelude::*;
use serde::Serialize;

use super::at_no_effect::AtNoEffect;
use super::contrast_test::ContrastTest;
use super::means::{self, TreatmentMean};
use super::model_test::ModelTest;
use super::own_k::OwnK;
use super::p_values::p_model;
use super::plot_table::{InferenceSpace, PlotTable};
use super::primary_test::{PrimaryTest, primary_test};
use super::strata::Strata;
use super::untransformed::Untransformed;
use super::verdict::{Call, Question, Relevance};
use crate::Error;
use crate::multiplicity::dunnett::CriticalCurve;
use crate::randomisation::{Randomisation, RandomisationSettings, Scheme, against_control};
use crate::results::{Caution, Interval, PValue};

/// How to carry the comparison out.
#[derive(Debug, Clone, PartialEq)]
pub struct Settings {
    /// Allocations that the design allowed; `None` if treatments were not randomised.
    pub scheme: Option<Scheme>,
    /// The primary test, fixed by the design; `None` decides by [`primary_test`] from the scheme.
    pub primary_test: Option<PrimaryTest>,
    /// How many allocations to enumerate or draw, and the seed.
    pub randomisation: RandomisationSettings,
}

/// A treatment against the control.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Contrast {
    /// Name of the treatment.
    pub treatment: String,
    /// Ratio of mean counts, treatment to control; 0 for an empty treatment, infinite for an empty
    /// control, `None` where both are empty.
    pub ratio: Option<f64>,
    /// Ratio at which t is 0, the estimate that belongs to the test and its interval; beside `ratio`, which is the
    /// maximum-likelihood estimate. `None` where an arm is empty.
    pub ratio_at_t_zero: Option<f64>,
    /// Interval of the ratio, all treatments together at 1 - alpha, agreeing with the primary test.
    pub interval: Interval,
    /// Difference of the transformed counts at a ratio of 1, treatment less control; 0 where none can be had.
    pub difference: f64,
    /// Its standard error, from the mean square of the design's stratum.
    pub standard_error: f64,
    /// Student's t: the difference over its standard error; `None` where nothing scatters.
    pub t: Option<f64>,
    /// The value of t beyond which a ratio lies outside the interval (Dunnett's where there are several treatments);
    /// `None` without degrees of freedom.
    pub critical_t: Option<f64>,
    /// Its degrees of freedom; 0 where the treatment is confounded with the blocks.
    pub df: f64,
    /// The fit at a ratio of 1, and the residuals that t compares.
    pub at_no_effect: AtNoEffect,
    /// The same comparison of counts as they are, which must agree where treatments differ in k; `None` where it is not asked.
    pub untransformed: Option<Untransformed>,
    /// Exact conditional test of the totals, two-sided: its p were the counts Poisson, the least they can scatter.
    pub p_conditional: f64,
    /// Model test alone: p of t, that of untransformed counts where it is asked and larger, and never below `p_conditional`.
    pub p_model: f64,
    /// Model test, adjusted (Dunnett).
    pub p_model_adjusted: f64,
    /// Randomisation test alone.
    pub p_randomisation: Option<PValue>,
    /// Randomisation test, adjusted by closed testing, Holm or the step-down maximum, as its scheme allows.
    pub p_randomisation_adjusted: Option<f64>,
    /// Smallest attainable p-value of the randomisation test.
    pub smallest_attainable_p: Option<f64>,
    /// The verdict.
    pub call: Call,
    /// Practical relevance: whether the interval reaches the worthwhile ratio.
    pub relevance: Relevance,
}

/// The whole comparison.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Comparison {
    /// The primary test.
    pub primary_test: PrimaryTest,
    /// Every treatment against the control.
    pub contrasts: Vec<Contrast>,
    /// Mean counts.
    pub means: Vec<TreatmentMean>,
    /// Degrees of freedom of the model test, the fewest of any treatment; 0 where none is possible.
    pub df: usize,
    /// k of the model with random blocks; `None` at the Poisson limit.
    pub k: Option<f64>,
    /// Whether treatments differ in k.
    pub own_k: OwnK,
    /// Standard deviation of each grouping's effects on the log scale.
    pub sigma: Vec<f64>,
    /// Marginal log-likelihood of that model with every constant, block effects integrated out.
    pub log_likelihood: f64,
    /// The randomisation test in full.
    pub randomisation: Option<Randomisation>,
    /// What the reader should know.
    pub cautions: Vec<Caution>,
}

/// Compares every treatment with the control. Treatments are worked out side by side on the threads of the
/// calling pool; the answer is the same on any number of them.
///
/// # Example
/// Sprays A and C of the insect counts of Beall (1942, Biometrika 32:243-262), A taken as the control.
/// ```
/// use halfgreen_analysis::comparison::{
///     Better, BlockStructure, Call, InferenceSpace, PlotTable, Question, Settings, compare,
/// };
/// use halfgreen_analysis::counts::Factor;
/// use halfgreen_analysis::randomisation::{RandomisationSettings, Scheme};
///
/// let table = PlotTable {
///     counts: vec![10, 7, 20, 14, 14, 12, 10, 23, 17, 20, 14, 13, 0, 1, 7, 2, 3, 1, 2, 1, 3, 0, 1, 4],
///     exposure: vec![1.0; 24],
///     treatment: Factor::from_labels("spray", &[["A"; 12], ["C"; 12]].concat(), Some("A")),
///     block_structure: BlockStructure::Unblocked,
///     inference: InferenceSpace::Narrow,
///     before: None,
/// };
/// let question = Question { alpha: 0.05, better: Better::Fewer, worthwhile_ratio: 0.5 };
/// let settings = Settings {
///     scheme: Some(Scheme::completely_randomised(24)),
///     primary_test: None,
///     randomisation: RandomisationSettings::default(),
/// };
///
/// let found = compare(&table, &question, &settings)?;
/// let contrast = &found.contrasts[0];
/// assert_eq!(contrast.call, Call::BeatTheControl);
/// assert!(contrast.interval.low < 25.0 / 174.0 && 25.0 / 174.0 < contrast.interval.high);
/// # Ok::<(), halfgreen_analysis::Error>(())
/// ```
///
/// # Errors
/// What [`PlotTable::check`] refuses, columns that determine each other, a scheme that does not fit
/// the plots.
pub fn compare(
    table: &PlotTable,
    question: &Question,
    settings: &Settings,
) -> Result<Comparison, Error> {
    table.check()?;
    let offset = table.offset();
    let matrix = table.treatment_matrix()?;
    let strata = Strata::new(table);
    let model_test = ModelTest::new(table, &offset, &matrix, &strata)?;
    let randomisation = match &settings.scheme {
        Some(scheme) => Some(against_control(
            &ModelTest::scores(table, &offset)?,
            &table.treatment.codes,
            scheme,
            &settings.randomisation,
        )?),
        None => None,
    };
    let primary = primary(table, randomisation.as_ref(), settings, question);
    let differences: Vec<ContrastTest> = (1..table.treatment.levels.len())
        .map(|j| model_test.contrast(j, 0.0))
        .collect();
    let (contrasts, means) = rayon::join(
        || {
            contrasts(
                &model_test,
                question,
                primary,
                randomisation.as_ref(),
                &differences,
            )
        },
        || means::of(table, question.alpha, &offset),
    );
    let full = &model_test.full;
    Ok(Comparison {
        primary_test: primary,
        contrasts: contrasts?,
        means: means?,
        df: fewest(&differences),
        k: finite_k(full.inverse_k),
        own_k: own_k(&model_test),
        sigma: full.sigma.clone(),
        log_likelihood: full.log_likelihood,
        cautions: cautions(table, &model_test, &differences),
        randomisation,
    })
}

/// k, `None` at the Poisson limit.
pub(super) fn finite_k(inverse_k: f64) -> Option<f64> {
    (inverse_k > LIMIT).then(|| 1.0 / inverse_k)
}

fn own_k(model_test: &ModelTest<'_>) -> OwnK {
    let k = model_test.own_inverse_k().into_iter().map(finite_k);
    OwnK::told(model_test.heterogeneity, k.collect())
}

/// The primary test: what the settings say, else what the design's allocations allow.
pub(super) fn primary(
    table: &PlotTable,
    randomisation: Option<&Randomisation>,
    settings: &Settings,
    question: &Question,
) -> PrimaryTest {
    match (randomisation, settings.primary_test) {
        // The draw tells of these groups only.
        _ if table.inference != InferenceSpace::Narrow => PrimaryTest::Model,
        (None, _) => PrimaryTest::Model,
        (Some(_), Some(primary)) => primary,
        (Some(r), None) => primary_test(
            r.smallest_attainable_p.iter().copied().fold(0.0, f64::max),
            question.alpha,
        ),
    }
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "degrees of freedom, not negative, rounded down"
)]
fn fewest(differences: &[ContrastTest]) -> usize {
    differences
        .iter()
        .map(|d| d.transformed.df)
        .reduce(f64::min)
        .unwrap_or(0.0) as usize
}

/// 1/k below this is the Poisson limit: at a mean of a thousand a plot it adds a thousandth to the
/// variance, far below what any trial could show.
const LIMIT: f64 = 1e-6;

/// Every level of treatment of the test's table beside its first, with the adjustment for there being several.
pub(super) fn contrasts(
    model_test: &ModelTest<'_>,
    question: &Question,
    primary_test: PrimaryTest,
    randomisation: Option<&Randomisation>,
    differences: &[ContrastTest],
) -> Result<Vec<Contrast>, Error> {
    let table = model_test.table;
    let lambda = model_test.lambda();
    let p = p_model(model_test, differences, &lambda)?;
    let bound = CriticalCurve::new(question.alpha, lambda)?;
    let contrast = |j: usize| {
        let ContrastTest {
            transformed: difference,
            untransformed,
        } = &differences[j];
        let p_primary = match (primary_test, randomisation) {
            (PrimaryTest::Randomisation, Some(r)) => r.p_adjusted[j],
            _ => p[j].1,
        };
        let ratio = model_test.ratio(j + 1);
        let plain = model_test.usable_interval(j + 1, difference.df, &bound, question.alpha);
        let found = p_primary <= question.alpha;
        let interval = ratio.map_or(plain, |r| plain.consistent_with(found, r));
        let relevance = question.relevance(&interval);
        let at_zero = ratio.filter(|r| *r > 0.0 && r.is_finite() && difference.df >= 1.0);
        Contrast {
            ratio_at_t_zero: at_zero.and_then(|_| model_test.zero(j + 1)).map(f64::exp),
            treatment: table.treatment.levels[j + 1].clone(),
            ratio,
            interval,
            difference: difference.estimate,
            standard_error: difference.standard_error,
            critical_t: Some(bound.at(difference.df)).filter(|t| t.is_finite()),
            t: Some(difference.t()).filter(|t| t.is_finite()),
            df: difference.df,
            at_no_effect: model_test.at_no_effect(j + 1),
            untransformed: untransformed.as_ref().map(|c| Untransformed::of(c, &bound)),
            p_conditional: model_test.conditional_test(j + 1).p(1.0),
            p_model: p[j].0,
            p_model_adjusted: p[j].1,
            p_randomisation: randomisation.map(|r| r.p[j]),
            p_randomisation_adjusted: randomisation.map(|r| r.p_adjusted[j]),
            smallest_attainable_p: randomisation.map(|r| r.smallest_attainable_p[j]),
            call: question.call(found, ratio.unwrap_or(1.0), relevance),
            relevance,
        }
    };
    let treatments = (0..differences.len()).into_par_iter();
    Ok(treatments.map(contrast).collect())
}

fn cautions(
    table: &PlotTable,
    model_test: &ModelTest<'_>,
    differences: &[ContrastTest],
) -> Vec<Caution> {
    let mut out = Vec::new();
    if differences.iter().any(|d| d.transformed.df < 1.0) {
        out.push(Caution::new(
            "no-test-possible",
            "there are too few plots to tell a treatment from the ground it lies on: no test of \
             the method is possible from these counts",
        ));
    }
    let totals = table.totals();
    if totals.iter().all(|&t| t == 0) {
        out.push(Caution::new(
            "all-zero",
            "nothing was found in any plot: the trial says nothing about the method",
        ));
    } else {
        let empty = table.treatment.levels.iter().zip(&totals);
        for (name, _) in empty.filter(|(_, t)| **t == 0) {
            out.push(Caution::new(
                "empty-treatment",
                format!(
                    "nothing was found in any plot of {name}: its ratio is bounded on one side only"
                ),
            ));
        }
    }
    if model_test.full.inverse_k <= LIMIT {
        out.push(Caution::new(
            "k-at-poisson-limit",
            "the counts scatter no more than random (Poisson) counts would: k is infinite",
        ));
    }
    if model_test.heterogeneity.told_apart() {
        out.push(Caution::new(
            "k-differs",
            "the treatments differ in how clumped the counts lie, not only in how many there are; the test reckons with \
             it, but with few plots it may still claim too much (in 100 simulated trials of four pairs up to 10 instead of 5)",
        ));
    }
    if !model_test.full.convergence.converged() {
        out.push(Caution::new(
            "not-converged",
            "the count model did not settle; its figures are rough",
        ));
    }
    out
}
