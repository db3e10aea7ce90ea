//! The model test of one table: analysis of variance of transformed counts, with the exact conditional test as a floor.

use ndarray::Array1;

use super::conditional_test::ConditionalTest;
use super::mixed_model::MixedModel;
use super::plot_table::PlotTable;
use super::strata::{ContrastEstimate, Strata};
use super::transformation::Transformation;
use super::verdict::{Better, Question, Relevance};
use crate::Error;
use crate::counts::ModelMatrix;
use crate::distributions;
use crate::mixed::{EffectPosterior, MarginalFit};
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
        Ok(Self {
            table,
            offset,
            matrix,
            strata,
            model,
            full,
        })
    }

    /// Treatment `j` (1 for the first after the control) against a log ratio of `value`: by how much
    /// its transformed counts lie above their conditional expectation at that ratio.
    pub(super) fn contrast(&self, j: usize, value: f64) -> ContrastEstimate {
        let restricted = self.restricted(j, value);
        self.strata.contrast(j - 1, &self.residuals(&restricted))
    }

    /// The fit in which the log ratio of treatment `j` is `value`.
    pub(super) fn restricted(&self, j: usize, value: f64) -> MarginalFit {
        self.model.fit(Some((j, value)), Some(&self.full))
    }

    /// Transformed counts less their conditional expectation given the blocks, over their relative standard
    /// deviation.
    pub(super) fn residuals(&self, restricted: &MarginalFit) -> Array1<f64> {
        let transformation = Transformation::new(restricted.inverse_k, self.strata.power());
        let mut out: Array1<f64> = (self.table.counts.iter())
            .map(|&y| transformation.of(y as f64))
            .collect();
        let expected: Vec<f64> = (0..out.len())
            .map(|row| self.offset[row] + self.matrix.predict(row, &restricted.beta))
            .collect();
        let (low, high) = ends(&expected);
        if !low.is_finite() {
            return out;
        }
        let posterior = self.model.posterior(restricted);
        let nodes = |row: usize| &posterior.nodes[posterior.group[row]];
        // Where all plots of a block are expected to hold the same, what they are expected to hold cancels
        // in every contrast.
        if low < high || self.table.blocking_factors().len() > 1 {
            let all: Vec<f64> = posterior.nodes.iter().flatten().map(|n| n.0).collect();
            let (least, most) = ends(&all);
            let series = transformation.expected_series(low + least, high + most);
            for (row, value) in out.iter_mut().enumerate() {
                *value -= average(nodes(row), |u| series.at(expected[row] + u));
            }
        }
        for (row, value) in out.iter_mut().enumerate() {
            *value /=
                transformation.relative_sd(average(nodes(row), |u| (expected[row] + u).exp()));
        }
        out
    }

    /// Transformed counts less their conditional expectation, at the estimated ratios.
    pub(super) fn at_the_estimate(&self) -> Array1<f64> {
        self.residuals(&self.full)
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

    /// Confidence interval: ratios that neither t, at its bound, nor the exact conditional test rejects.
    pub(super) fn interval(&self, j: usize, bound: f64, alpha: f64) -> Interval {
        let (mut low, mut high) = self.conditional_test(j).limits(2.0 * alpha);
        let ratio = self.ratio(j);
        let here = self.contrast(j, self.full.beta[j]).t();
        if ratio != Some(0.0) {
            low = low.min(self.limit(j, here, -1.0, bound).exp());
        }
        if ratio != Some(f64::INFINITY) {
            high = high.max(self.limit(j, here, 1.0, bound).exp());
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
    pub(super) fn rejects(&self, j: usize, ratio: f64, bound: f64, alpha: f64) -> bool {
        self.conditional_test(j).p(ratio) <= 2.0 * alpha
            && self.contrast(j, ratio.ln()).t().abs() > bound
    }

    /// Practical relevance, by a test of the worthwhile ratio alone; `Undecided` where a
    /// difference was found, for then the call does not hang on it.
    pub(super) fn relevance(
        &self,
        j: usize,
        question: &Question,
        found: bool,
        bound: f64,
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

    /// Where t reaches `bound`, going down (`side` = -1) or up (+1) from the estimate, at which it is `here`:
    /// from above it below, or from below it above. Infinite where it never does; the estimate itself
    /// where it already has.
    fn limit(&self, j: usize, here: f64, side: f64, bound: f64) -> f64 {
        // Infinite where nothing scatters: held to what the search can work with.
        let beyond = |t: f64| (-side * t).clamp(-1e9, 1e9) - bound;
        let from = self.full.beta[j];
        roots::outward(
            |value| beyond(self.contrast(j, value).t()),
            (from, beyond(here)),
            side,
            1e-7,
        )
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

/// p-value of a contrast, both sides.
pub(super) fn two_sided(difference: &ContrastEstimate) -> f64 {
    if difference.df < 1.0 {
        1.0
    } else {
        (2.0 * distributions::t_sf(difference.t().abs(), difference.df)).min(1.0)
    }
}

/// Posterior mean over the nodes of a random effect: log effects with their weights.
fn average(effects: &[(f64, f64)], of: impl Fn(f64) -> f64) -> f64 {
    effects.iter().map(|&(u, weight)| weight * of(u)).sum()
}

/// The least and the largest value.
fn ends(values: &[f64]) -> (f64, f64) {
    values
        .iter()
        .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), &v| {
            (low.min(v), high.max(v))
        })
}
