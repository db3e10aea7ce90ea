//! The primary test alone, prepared once for a design and evaluated on many sets of counts.
//!
//! Trials are sized, and the test itself is calibrated, by simulating thousands of them: what does
//! not depend on the counts is worked out once, and nothing but the call is asked for.

use serde::Serialize;

use super::compare::{Settings, finite_k};
use super::conditional_test::ConditionalTest;
use super::model_test::ModelTest;
use super::p_values::p_model;
use super::plot_table::{InferenceSpace, PlotTable};
use super::primary_test::{PrimaryTest, primary_test};
use super::strata::Strata;
use super::verdict::{Better, Call, Question, Relevance};
use crate::Error;
use crate::counts::ModelMatrix;
use crate::multiplicity::dunnett::CriticalCurve;
use crate::randomisation::{Scheme, against_control};
use crate::results::Interval;

/// A test prepared for a design.
#[derive(Debug, Clone)]
pub struct PreparedTest {
    pub(super) table: PlotTable,
    offset: Vec<f64>,
    matrix: ModelMatrix,
    pub(super) question: Question,
    settings: Settings,
    primary_test: PrimaryTest,
    pub(super) strata: Strata,
    pub(super) lambda: Vec<f64>,
    /// The bound for t over all treatments together, on any degrees of freedom.
    pub(super) bound: CriticalCurve,
}

/// What the primary test says of one set of counts.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Evaluation {
    /// The call for each treatment, the same that [`compare`](super::compare) gives.
    pub calls: Vec<Call>,
    /// Whether the reader would be told that treatments differ in k (caution `k-differs`).
    pub k_differs: bool,
    /// Whether every search behind it converged.
    pub converged: bool,
}

/// The primary test of one treatment.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct EvaluatedContrast {
    /// Ratio of mean counts, as in [`Contrast`](super::Contrast).
    pub ratio: Option<f64>,
    /// Adjusted p of the primary test.
    pub p: f64,
    /// The call.
    pub call: Call,
}

/// The estimate of one treatment.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct EstimatedContrast {
    /// Ratio of mean counts, as in [`Contrast`](super::Contrast).
    pub ratio: Option<f64>,
    /// Interval of the model test.
    pub interval: Interval,
    /// Degrees of freedom of t at a ratio of 1.
    pub df: f64,
    /// k of the model with random blocks; `None` at the Poisson limit.
    pub k: Option<f64>,
}

impl PreparedTest {
    /// Prepares a design. The counts of `table` matter to [`PreparedTest::evaluate`] alone.
    ///
    /// # Errors
    /// As [`compare`](super::compare).
    pub fn new(table: PlotTable, question: Question, settings: Settings) -> Result<Self, Error> {
        table.check()?;
        let (matrix, strata) = (table.treatment_matrix()?, Strata::new(&table));
        Self::with_coding(table, matrix, strata, question, settings)
    }

    /// As [`PreparedTest::new`], with the treatments coded otherwise: `matrix` has the coefficients of the levels of
    /// treatment first after the intercept, `strata` their contrasts.
    pub(super) fn with_coding(
        table: PlotTable,
        matrix: ModelMatrix,
        strata: Strata,
        question: Question,
        settings: Settings,
    ) -> Result<Self, Error> {
        let lambda = strata.lambda(table.treatment.levels.len() - 1);
        let primary = match (&settings.scheme, settings.primary_test) {
            _ if table.inference != InferenceSpace::Narrow => PrimaryTest::Model,
            (None, _) => PrimaryTest::Model,
            (Some(_), Some(primary)) => primary,
            (Some(scheme), None) => {
                primary_test(smallest_attainable_p(&table, scheme)?, question.alpha)
            }
        };
        Ok(Self {
            offset: table.offset(),
            matrix,
            strata,
            primary_test: primary,
            bound: CriticalCurve::new(question.alpha, lambda.clone())?,
            lambda,
            question,
            settings,
            table,
        })
    }

    /// The primary test.
    #[must_use]
    pub fn primary_test(&self) -> PrimaryTest {
        self.primary_test
    }

    /// The calls on these counts, one for each plot of the design.
    ///
    /// # Errors
    /// A number of counts that differs from the design's plots.
    pub fn call(&self, counts: &[u64]) -> Result<Evaluation, Error> {
        let table = self.with(counts);
        let model_test = ModelTest::new(&table, &self.offset, &self.matrix, &self.strata)?;
        let alpha = self.question.alpha;
        let found: Vec<bool> = match self.randomisation_p(&table)? {
            Some(p) => p.iter().map(|&p| p <= alpha).collect(),
            // The same as an adjusted p of alpha or less, but quicker.
            None => (0..self.lambda.len())
                .map(|j| model_test.rejects(j + 1, 1.0, &self.bound, alpha))
                .collect(),
        };
        Ok(Evaluation {
            calls: found
                .iter()
                .enumerate()
                .map(|(j, &found)| self.call_if(&model_test, j + 1, found))
                .collect(),
            k_differs: model_test.heterogeneity.told_apart(),
            converged: model_test.full.convergence.converged(),
        })
    }

    /// The call on these counts for treatment `j`, 1 for the first after the control: as [`PreparedTest::call`] has it, without
    /// the work for the other treatments, and without any fit where the exact conditional test alone leaves it open.
    ///
    /// # Errors
    /// As [`PreparedTest::call`]; a `j` that the design does not have.
    pub fn call_of(&self, counts: &[u64], j: usize) -> Result<Call, Error> {
        if !(1..=self.lambda.len()).contains(&j) {
            return Err(Error::new(
                "treatment",
                format!("{j}"),
                format!(
                    "the design compares treatments 1 to {} with the control",
                    self.lambda.len()
                ),
                "count treatments from 1 for the first after the control",
            ));
        }
        let table = self.with(counts);
        let alpha = self.question.alpha;
        if self.primary_test == PrimaryTest::Randomisation {
            return self.call_by_randomisation(&table, j);
        }
        if self.never_short() && self.open_without_a_fit(&table, j) {
            return Ok(Call::CannotTell);
        }
        let model_test = ModelTest::new(&table, &self.offset, &self.matrix, &self.strata)?;
        let found = model_test.rejects(j, 1.0, &self.bound, alpha);
        Ok(self.call_if(&model_test, j, found))
    }

    /// The call where the randomisation test is primary. Where it finds a difference, the score at no effect tells which way:
    /// the likelihood rises there towards its maximum.
    fn call_by_randomisation(&self, table: &PlotTable, j: usize) -> Result<Call, Error> {
        let scores = ModelTest::scores(table, &self.offset)?;
        if self.redrawn(table, &scores)?[j - 1] <= self.question.alpha {
            let mean = |treatment: usize| {
                let own = table.treatment.codes.iter().zip(&scores);
                let own = own.filter(|(code, _)| **code == treatment);
                let (plots, sum) =
                    own.fold((0.0, 0.0), |(n, sum), (_, score)| (n + 1.0, sum + score));
                sum / plots
            };
            let towards = (mean(j) - mean(0)).exp();
            return Ok(self.question.call(true, towards, Relevance::Undecided));
        }
        if self.never_short() {
            return Ok(Call::CannotTell);
        }
        let model_test = ModelTest::new(table, &self.offset, &self.matrix, &self.strata)?;
        Ok(self.call_if(&model_test, j, false))
    }

    /// Whether no change would be called too small to matter.
    fn never_short(&self) -> bool {
        let worthwhile = self.question.worthwhile_ratio;
        match self.question.better {
            Better::Fewer => worthwhile == f64::INFINITY,
            Better::More => worthwhile == 0.0,
        }
    }

    /// Whether the exact conditional test alone leaves it open.
    fn open_without_a_fit(&self, table: &PlotTable, j: usize) -> bool {
        // A covariate's coefficient comes from the fit.
        table.before.is_none()
            && ConditionalTest::new(table, j, |_| 1.0).p(1.0) > self.question.alpha
    }

    /// The calls on the counts the design was prepared with, and the p-values and ratios behind them: all that
    /// [`compare`](super::compare) says but the intervals, for a tenth of its work.
    ///
    /// # Errors
    /// As [`compare`](super::compare).
    pub fn evaluate(&self) -> Result<Vec<EvaluatedContrast>, Error> {
        let model_test = ModelTest::new(&self.table, &self.offset, &self.matrix, &self.strata)?;
        let p: Vec<f64> = if let Some(p) = self.randomisation_p(&self.table)? {
            p
        } else {
            let treatments = 1..=self.lambda.len();
            let differences: Vec<_> = treatments.map(|j| model_test.contrast(j, 0.0)).collect();
            let p = p_model(&model_test, &differences, &self.lambda)?;
            p.iter().map(|p| p.1).collect()
        };
        let contrasts = p.iter().zip(1..).map(|(&p, j)| EvaluatedContrast {
            ratio: model_test.ratio(j),
            p,
            call: self.call_if(&model_test, j, p <= self.question.alpha),
        });
        Ok(contrasts.collect())
    }

    /// The ratio of each treatment and its interval on these counts, one for each plot of the design: as
    /// [`compare`](super::compare) has them where the model test is primary, for a third of its work.
    ///
    /// # Errors
    /// As [`PreparedTest::call`].
    pub fn estimate(&self, counts: &[u64]) -> Result<Vec<EstimatedContrast>, Error> {
        let table = self.with(counts);
        let model_test = ModelTest::new(&table, &self.offset, &self.matrix, &self.strata)?;
        let treatments = 1..=self.lambda.len();
        Ok(treatments
            .map(|j| {
                let df = model_test.contrast(j, 0.0).transformed.df;
                EstimatedContrast {
                    ratio: model_test.ratio(j),
                    interval: model_test.usable_interval(j, df, &self.bound, self.question.alpha),
                    df,
                    k: finite_k(model_test.full.inverse_k),
                }
            })
            .collect())
    }

    /// Adjusted p-values of the randomisation test, where it is primary.
    fn randomisation_p(&self, table: &PlotTable) -> Result<Option<Vec<f64>>, Error> {
        if self.primary_test != PrimaryTest::Randomisation {
            return Ok(None);
        }
        let scores = ModelTest::scores(table, &self.offset)?;
        self.redrawn(table, &scores).map(Some)
    }

    /// Adjusted p-values of the randomisation test of these scores.
    fn redrawn(&self, table: &PlotTable, scores: &[f64]) -> Result<Vec<f64>, Error> {
        let Some(scheme) = &self.settings.scheme else {
            // Without a scheme the model test is primary.
            return Ok(vec![1.0; self.lambda.len()]);
        };
        let codes = &table.treatment.codes;
        let found = against_control(scores, codes, scheme, &self.settings.randomisation)?;
        Ok(found.p_adjusted)
    }

    /// The call for treatment `j`, given whether a difference was found. Instead of searching for the
    /// ends of an interval, the test is asked whether the worthwhile ratio lies outside it.
    fn call_if(&self, model_test: &ModelTest<'_>, j: usize, found: bool) -> Call {
        let relevance = model_test.relevance(j, &self.question, found, &self.bound);
        let ratio = model_test.ratio(j).unwrap_or(1.0);
        self.question.call(found, ratio, relevance)
    }

    /// Whether the interval of each treatment holds its ratio; where a ratio is 1 the primary test
    /// decides. Fewer ratios than treatments ask only for the first ones.
    ///
    /// # Errors
    /// As [`PreparedTest::call`].
    pub fn covers(&self, counts: &[u64], ratios: &[f64]) -> Result<Vec<bool>, Error> {
        let none = ratios.contains(&1.0);
        let calls = if none {
            self.call(counts)?.calls
        } else {
            Vec::new()
        };
        let table = self.with(counts);
        let model_test = ModelTest::new(&table, &self.offset, &self.matrix, &self.strata)?;
        let mut covered = Vec::with_capacity(ratios.len());
        for (j, &ratio) in ratios.iter().enumerate() {
            covered.push(if ratio == 1.0 {
                !matches!(calls.get(j), Some(Call::BeatTheControl | Call::DidWorse))
            } else {
                !model_test.rejects(j + 1, ratio, &self.bound, self.question.alpha)
            });
        }
        Ok(covered)
    }

    fn with(&self, counts: &[u64]) -> PlotTable {
        PlotTable {
            counts: counts.to_vec(),
            ..self.table.clone()
        }
    }
}

/// Largest over the treatments of the smallest attainable p-value of the randomisation test.
fn smallest_attainable_p(table: &PlotTable, scheme: &Scheme) -> Result<f64, Error> {
    let none = crate::randomisation::RandomisationSettings {
        limit: 0,
        draws: 0,
        seed: 0,
    };
    let flat = vec![0.0; table.counts.len()];
    let test = against_control(&flat, &table.treatment.codes, scheme, &none)?;
    Ok(test
        .smallest_attainable_p
        .iter()
        .copied()
        .fold(0.0, f64::max))
}
