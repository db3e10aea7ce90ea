//! The model test of one table: analysis of variance of transformed counts, with the exact conditional test as a floor.

use ndarray::Array1;

use super::conditional_test::ConditionalTest;
use super::contrast_estimate::ContrastEstimate;
use super::contrast_test::ContrastTest;
use super::mixed_model::MixedModel;
use super::own_k::Heterogeneity;
use super::plot_scores::{PlotScores, Scored, Scores};
use super::plot_table::PlotTable;
use super::strata::Strata;
use super::untransformed::CORRECTED;
use super::verdict::{Better, Question, Relevance};
use crate::Error;
use crate::counts::ModelMatrix;
use crate::mixed::{EffectPosterior, MarginalFit};
use crate::multiplicity::dunnett::CriticalCurve;
use crate::numerics::roots;
use crate::results::Interval;

/// The mixed model of a table at its maximum, and what the test needs beside it.
#[derive(Debug)]
pub(super) struct ModelTest<'t> {
    pub(super) table: &'t PlotTable,
    offset: &'t [f64],
    matrix: &'t ModelMatrix,
    pub(super) strata: &'t Strata,
    model: MixedModel<'t>,
    pub(super) full: MarginalFit,
    /// Evidence that treatments differ in k.
    pub(super) heterogeneity: Heterogeneity,
    /// Skewness of each treatment's contrast at the estimate, as far as treatments differ in k; empty where they do not.
    /// One for all ratios, so that a ratio farther from the estimate is never less rejected for its skewness.
    skewness: Vec<f64>,
}

impl<'t> ModelTest<'t> {
    pub(super) fn new(
        table: &'t PlotTable,
        offset: &'t [f64],
        matrix: &'t ModelMatrix,
        strata: &'t Strata,
    ) -> Result<Self, Error> {
        let model = MixedModel::new(table, offset, matrix)?;
        let full = model.fit(None, None);
        let posterior = model.posterior(&full);
        let alike = table.blocking_factors().len() <= 1;
        let (heterogeneity, skewness) =
            scored(table, offset, matrix, &full, &posterior, |scored| {
                let found = Heterogeneity::of(&scored.arms(), full.inverse_k);
                let shrinkage = found.shrinkage();
                let skewness = if shrinkage > 0.0 {
                    let scores = scored.scores(strata.power(), shrinkage, alike);
                    strata.skewnesses(&scores.transformed)
                } else {
                    Vec::new()
                };
                (found, skewness)
            });
        Ok(Self {
            table,
            offset,
            matrix,
            strata,
            model,
            full,
            heterogeneity,
            skewness,
        })
    }

    /// Treatment `j` (1 for the first after the control) against a log ratio of `value`: by how much
    /// its transformed counts lie above their conditional expectation at that ratio; and, where treatments differ in k, its counts.
    pub(super) fn contrast(&self, j: usize, value: f64) -> ContrastTest {
        let scores = self.scores_at(&self.restricted(j, value));
        self.tested(j, &scores)
    }

    /// The contrast of treatment `j` in these scores.
    pub(super) fn tested(&self, j: usize, scores: &Scores) -> ContrastTest {
        let contrast = |scores: &PlotScores| {
            let variances = scores.variances.as_deref();
            self.strata.contrast(j - 1, &scores.values, variances)
        };
        ContrastTest {
            transformed: ContrastEstimate {
                skewness: self.skewness_of(j),
                ..contrast(&scores.transformed)
            },
            untransformed: scores
                .untransformed
                .as_ref()
                .map(|scores| ContrastEstimate {
                    skewness: CORRECTED * self.strata.skewness(j - 1, scores),
                    ..contrast(scores)
                }),
        }
    }

    /// The fit in which the log ratio of treatment `j` is `value`.
    pub(super) fn restricted(&self, j: usize, value: f64) -> MarginalFit {
        self.model.fit(Some((j, value)), Some(&self.full))
    }

    /// The scores of the plots at a fit.
    pub(super) fn scores_at(&self, fit: &MarginalFit) -> Scores {
        let alike = self.table.blocking_factors().len() <= 1;
        self.scored(fit, |scored| {
            scored.scores(self.strata.power(), self.heterogeneity.shrinkage(), alike)
        })
    }

    /// Skewness of the contrast of treatment `j`, the same at every ratio.
    pub(super) fn skewness_of(&self, j: usize) -> f64 {
        self.skewness.get(j - 1).copied().unwrap_or(0.0)
    }

    /// Transformed counts less their conditional expectation, at the estimated ratios and the common k.
    pub(super) fn at_the_estimate(&self) -> Array1<f64> {
        let alike = self.table.blocking_factors().len() <= 1;
        self.scored(&self.full, |scored| {
            let scores = scored.scores(self.strata.power(), 0.0, alike);
            scores.transformed.values
        })
    }

    /// By how much each plot's transformed count rises with the log of its conditional mean m at the estimate:
    /// sqrt(m / (1 + m/k)) / 2, whatever the power of the scale.
    pub(super) fn slopes(&self) -> Vec<f64> {
        let EffectPosterior { nodes, group } = self.model.posterior(&self.full);
        let slope = |row: usize| {
            let eta = self.offset[row] + self.matrix.predict(row, &self.full.beta);
            let mean = average(&nodes[group[row]], |u| (eta + u).exp());
            0.5 * (mean / (1.0 + self.full.inverse_k * mean)).sqrt()
        };
        (0..self.table.counts.len()).map(slope).collect()
    }

    /// 1/k of each treatment as the test has it at the estimate.
    pub(super) fn own_inverse_k(&self) -> Vec<f64> {
        let (common, shrinkage) = (self.full.inverse_k, self.heterogeneity.shrinkage());
        self.scored(&self.full, |scored| {
            let arms = scored.arms();
            arms.iter()
                .map(|arm| arm.law(common, shrinkage).inverse_k)
                .collect()
        })
    }

    /// What scores are made from, at a fit.
    fn scored<T>(&self, fit: &MarginalFit, of: impl FnOnce(&Scored<'_>) -> T) -> T {
        scored(
            self.table,
            self.offset,
            self.matrix,
            fit,
            &self.model.posterior(fit),
            of,
        )
    }

    /// Scores for the randomisation test: those of the mixed model without treatment, (y - m) / (1 + m/k) with m
    /// the plot's conditional mean, adjusted for blocks and covariate.
    pub(super) fn scores(table: &PlotTable, offset: &[f64]) -> Result<Vec<f64>, Error> {
        let base = ModelMatrix::with_intercept(table.counts.len());
        let base = match &table.before {
            Some(before) => base.covariate("before", before).build()?,
            None => base.build()?,
        };
        let model = MixedModel::new(table, offset, &base)?;
        let fit = model.fit(None, None);
        let EffectPosterior { nodes, group } = model.posterior(&fit);
        let scores = (0..table.counts.len()).map(|row| {
            let eta = offset[row] + base.predict(row, &fit.beta);
            let mean = average(&nodes[group[row]], |u| (eta + u).exp());
            (table.counts[row] as f64 - mean) / (1.0 + fit.inverse_k * mean)
        });
        Ok(Strata::centred(table, scores.collect()).to_vec())
    }

    /// `lambda` of the contrasts ([`Strata::lambda`]).
    pub(super) fn lambda(&self) -> Vec<f64> {
        self.strata.lambda(self.table.treatment.levels.len() - 1)
    }

    /// The exact conditional test of treatment `j` against the control.
    pub(super) fn conditional_test(&self, j: usize) -> ConditionalTest {
        let covariate = self.full.beta.len() - 1;
        let before = self.table.before.as_ref();
        ConditionalTest::new(self.table, j, |plot| {
            before.map_or(1.0, |b| (b[plot] * self.full.beta[covariate]).exp())
        })
    }

    /// Estimated ratio, with its limits for empty arms; `None` where both are empty.
    pub(super) fn ratio(&self, j: usize) -> Option<f64> {
        let totals = self.table.totals();
        match (totals[j], totals[0]) {
            (0, 0) => None,
            (0, _) => Some(0.0),
            (_, 0) => Some(f64::INFINITY),
            _ => Some(self.full.beta[j].exp()),
        }
    }

    /// The confidence interval; from 0 to infinity where no ratio or no degree of freedom is to be had.
    pub(super) fn usable_interval(
        &self,
        j: usize,
        df: f64,
        bound: &CriticalCurve,
        alpha: f64,
    ) -> Interval {
        if df >= 1.0 && self.ratio(j).is_some() {
            return self.interval(j, bound, alpha);
        }
        Interval {
            low: 0.0,
            high: f64::INFINITY,
            level: 1.0 - alpha,
        }
    }

    /// Confidence interval: ratios that t, at its bound, or the exact conditional test does not reject. `bound` gives the bound
    /// for t on any degrees of freedom.
    pub(super) fn interval(&self, j: usize, bound: &CriticalCurve, alpha: f64) -> Interval {
        let (mut low, mut high) = self.conditional_test(j).limits(alpha);
        let ratio = self.ratio(j);
        if ratio != Some(0.0) {
            low = low.min(self.limit(j, -1.0, bound).exp());
        }
        if ratio != Some(f64::INFINITY) {
            high = high.max(self.limit(j, 1.0, bound).exp());
        }
        let ratio = ratio.unwrap_or(1.0);
        // Where an arm is so nearly empty that no t is large enough.
        if ratio > 0.0 && ratio.is_finite() {
            let (lowest, highest) = markov_limits(ratio, alpha);
            low = low.max(lowest);
            high = high.min(highest);
        }
        Interval {
            low: low.min(ratio),
            high: high.max(ratio),
            level: 1.0 - alpha,
        }
    }

    /// Whether a ratio is rejected, both by t at its bound and by the exact conditional test.
    pub(super) fn rejects(&self, j: usize, ratio: f64, bound: &CriticalCurve, alpha: f64) -> bool {
        if self.conditional_test(j).p(ratio) > alpha {
            return false;
        }
        self.contrast(j, ratio.ln()).rejects(bound)
    }

    /// Practical relevance, by a test of the worthwhile ratio alone; `Undecided` where a
    /// difference was found, for then the call does not hang on it.
    pub(super) fn relevance(
        &self,
        j: usize,
        question: &Question,
        found: bool,
        bound: &CriticalCurve,
    ) -> Relevance {
        let worthwhile = question.worthwhile_ratio;
        let short = self.ratio(j).is_some_and(|ratio| match question.better {
            Better::Fewer => ratio > worthwhile,
            Better::More => ratio < worthwhile,
        });
        if !found && short && self.rejects(j, worthwhile, bound, question.alpha) {
            Relevance::Excluded
        } else {
            Relevance::Undecided
        }
    }

    /// The log ratio at which t is 0: the estimate that belongs to the test (Hodges & Lehmann 1963, Annals of Mathematical
    /// Statistics 34:598-611). `None` where an arm is empty or nothing scatters.
    pub(super) fn zero(&self, j: usize) -> Option<f64> {
        let from = self.full.beta[j];
        let t = |value: f64| self.contrast(j, value).transformed.t();
        let here = t(from);
        if !from.is_finite() || !here.is_finite() {
            return None;
        }
        let side = here.signum();
        let beyond = |value: f64| -side * t(value);
        let found = roots::outward(beyond, (from, -here.abs()), side, 1e-7);
        Some(found).filter(|value| value.is_finite())
    }

    /// Where t reaches its bound, going down (`side` = -1) or up (+1) from the estimate; infinite where it never does, the
    /// estimate itself where it already has there. The degrees of freedom follow from the counts at each ratio.
    pub(super) fn limit(&self, j: usize, side: f64, bound: &CriticalCurve) -> f64 {
        let beyond = |value: f64| self.contrast(j, value).beyond(-side, bound);
        let from = self.full.beta[j];
        roots::outward(beyond, (from, beyond(from)), side, 1e-7)
    }
}

/// Limits of an estimated ratio that hold however overdispersed the counts are, by Markov's inequality: a total of 1/p
/// times its expectation has a chance of p or less. An interval that ends there says hardly more than
/// that something was found.
#[must_use]
pub fn markov_limits(ratio: f64, alpha: f64) -> (f64, f64) {
    let least = 0.5 * alpha;
    (ratio * least, ratio / least)
}

/// Posterior mean over the nodes of a random effect: log effects with their weights.
fn average(effects: &[(f64, f64)], of: impl Fn(f64) -> f64) -> f64 {
    effects.iter().map(|&(u, weight)| weight * of(u)).sum()
}

/// What scores are made from: the log means of a table's plots at a fit.
fn scored<T>(
    table: &PlotTable,
    offset: &[f64],
    matrix: &ModelMatrix,
    fit: &MarginalFit,
    posterior: &EffectPosterior,
    of: impl FnOnce(&Scored<'_>) -> T,
) -> T {
    let expected: Vec<f64> = (0..table.counts.len())
        .map(|row| offset[row] + matrix.predict(row, &fit.beta))
        .collect();
    of(&Scored {
        counts: &table.counts,
        codes: &table.treatment.codes,
        treatments: table.treatment.levels.len(),
        expected: &expected,
        fit,
        posterior,
    })
}
