//! One random block effect, integrated out by adaptive Gauss-Hermite quadrature.

use super::marginal::{EffectPosterior, MarginalFit};
use super::newton::{self, LogLikelihood};
use crate::Error;
use crate::counts::{Kernel, ModelMatrix, kernel, starting_values};
use crate::numerics::quadrature::{self, Rule};

/// A model of counts with normal block effects on the log scale.
#[derive(Debug, Clone)]
pub struct RandomBlock<'a> {
    counts: Vec<f64>,
    offset: &'a [f64],
    matrix: &'a ModelMatrix,
    kernel: Kernel,
    /// Plots in order of their block.
    order: Vec<usize>,
    /// Where each block starts in `order`, and the end.
    bounds: Vec<usize>,
    rule: Rule,
    /// Log of each point's weight, times exp of its square.
    log_weights: Vec<f64>,
    all_zero: bool,
}

/// Quadrature points for each block. Against 41 points, 9 leave a log-likelihood error below 1e-5
/// for block standard deviations to 1 and counts of any size (tested).
pub const POINTS: usize = 9;

impl<'a> RandomBlock<'a> {
    /// Prepares a model; `block` gives for every plot the number of its block, counted from 0.
    ///
    /// `points` is at least 3. The gradient is that of the integral, not of its approximation: it leaves out
    /// that the points move with the parameters, which is right only where the points stand for the
    /// whole integral. For Laplace's approximation, which is one point, use
    /// [`RandomEffects`](super::laplace::RandomEffects): its gradient follows mode and curvature.
    ///
    /// # Errors
    /// Lengths that differ, no plots, or fewer than 3 points.
    pub fn new(
        counts: &[u64],
        offset: &'a [f64],
        matrix: &'a ModelMatrix,
        block: &[usize],
        points: usize,
    ) -> Result<Self, Error> {
        let rows = matrix.rows();
        if rows == 0 || counts.len() != rows || offset.len() != rows || block.len() != rows {
            return Err(Error::new(
                "counts",
                format!(
                    "{} counts, {} offsets, {} blocks",
                    counts.len(),
                    offset.len(),
                    block.len()
                ),
                format!("each of the {rows} plots needs one of each"),
                "check that no plot was left out on one side",
            ));
        }
        if points < 3 {
            return Err(Error::new(
                "points",
                format!("{points}"),
                "3 or more, or the search ends beside the maximum",
                "use the usual number of points, or random terms by Laplace's approximation",
            ));
        }
        let mut order: Vec<usize> = (0..rows).collect();
        order.sort_by_key(|&row| block[row]);
        let mut bounds = vec![0];
        for at in 1..rows {
            if block[order[at]] != block[order[at - 1]] {
                bounds.push(at);
            }
        }
        bounds.push(rows);
        // Without a block effect there is nothing to integrate.
        let rule = quadrature::hermite(if bounds.len() == 2 { 1 } else { points });
        let log_weights = rule
            .nodes
            .iter()
            .zip(&rule.weights)
            .map(|(x, w)| x * x + w.ln())
            .collect();
        Ok(Self {
            kernel: Kernel::new(counts),
            all_zero: counts.iter().all(|&y| y == 0),
            counts: counts.iter().map(|&y| y as f64).collect(),
            offset,
            matrix,
            order,
            bounds,
            rule,
            log_weights,
        })
    }

    /// Finds the maximum, with coefficient `fixed.0` fixed at `fixed.1` where given, starting from
    /// `start` where given. `poisson` keeps k infinite.
    ///
    /// All counts zero gives the defined limit: a log-likelihood of 0, sigma 0, k infinite.
    #[must_use]
    pub fn fit(
        &self,
        fixed: Option<(usize, f64)>,
        start: Option<&MarginalFit>,
        poisson: bool,
    ) -> MarginalFit {
        let width = self.matrix.width();
        if self.all_zero {
            return MarginalFit::all_zero(width, 1, fixed);
        }
        let mut at = start.map_or_else(|| self.starting_values(), MarginalFit::restart);
        let mut free = vec![true; width + 2];
        if let Some((column, value)) = fixed {
            at[column] = value;
            free[column] = false;
        }
        if self.bounds.len() == 2 {
            // One block says nothing about how blocks differ.
            at[width] = 0.0;
            free[width] = false;
        }
        if poisson {
            at[width + 1] = 0.0;
            free[width + 1] = false;
        }
        let mut surface = BlockSurface::new(self);
        let (top, convergence) = newton::maximise(&mut surface, &at, &free, &[width, width + 1]);
        MarginalFit::from_maximum(&top, width, convergence)
    }

    /// What the counts say of each block's effect at `fit`: the nodes of the quadrature with their
    /// posterior weights.
    #[must_use]
    pub fn posterior(&self, fit: &MarginalFit) -> EffectPosterior {
        let blocks = self.bounds.len() - 1;
        let mut group = vec![0; self.order.len()];
        for block in 0..blocks {
            for &row in &self.order[self.bounds[block]..self.bounds[block + 1]] {
                group[row] = block;
            }
        }
        let sigma = fit.sigma.first().copied().unwrap_or(0.0);
        if sigma == 0.0 || self.all_zero {
            let nodes = vec![vec![(0.0, 1.0)]; blocks];
            return EffectPosterior { nodes, group };
        }
        let mut at = fit.beta.clone();
        at.extend([sigma, fit.inverse_k.sqrt()]);
        let mut surface = BlockSurface::new(self);
        let mut sums = newton::Point::new(at.len());
        let nodes = (0..blocks)
            .map(|block| {
                surface.add_block(block, &at, &mut sums);
                surface
                    .points
                    .iter()
                    .map(|&(u, w)| (sigma * u, w))
                    .collect()
            })
            .collect();
        EffectPosterior { nodes, group }
    }

    /// Middling variances, and coefficients by least squares on log(count + 1/2) with them.
    fn starting_values(&self) -> Vec<f64> {
        let (sigma, alpha) = (0.4, 0.6);
        let scatter = sigma * sigma + alpha * alpha;
        let mut at = starting_values(&self.counts, self.offset, self.matrix, scatter);
        at.extend([sigma, alpha]);
        at
    }
}

/// Buffers of one search over a [`RandomBlock`].
struct BlockSurface<'m, 'a> {
    model: &'m RandomBlock<'a>,
    /// Mode of each block's effect at the last evaluation: where the next search for it starts.
    modes: Vec<f64>,
    /// Linear predictor and mean of each plot of the present block, without the block's effect.
    base: Vec<(f64, f64)>,
    /// Terms of each point and plot of the present block.
    terms: Vec<kernel::Terms>,
    /// Place of each point, then its log weight, then its posterior weight.
    points: Vec<(f64, f64)>,
    /// Score of one point, and the mean score over points.
    score: Vec<f64>,
    mean_score: Vec<f64>,
}

impl<'m, 'a> BlockSurface<'m, 'a> {
    fn new(model: &'m RandomBlock<'a>) -> Self {
        let largest = model
            .bounds
            .windows(2)
            .map(|b| b[1] - b[0])
            .max()
            .unwrap_or(0);
        let points = model.rule.nodes.len();
        let width = model.matrix.width() + 2;
        Self {
            model,
            modes: vec![0.0; model.bounds.len() - 1],
            base: Vec::with_capacity(largest),
            terms: vec![kernel::Terms::default(); largest * points],
            points: vec![(0.0, 0.0); points],
            score: vec![0.0; width],
            mean_score: vec![0.0; width],
        }
    }

    /// Mode of a block's standardised effect and the curvature there.
    fn mode(&self, rows: &[usize], sigma: f64, a: f64, start: f64) -> (f64, f64) {
        let mut u = start;
        let mut curvature = 1.0;
        // The log density is concave with curvature at least 1: Newton with fixed steps settles in
        // well under thirty from any start.
        for _ in 0..30 {
            let lift = (sigma * u).exp();
            let (mut slope, mut weight) = (0.0, 0.0);
            for (&row, &(_, mean)) in rows.iter().zip(&self.base) {
                let mean = mean * lift;
                let share = 1.0 / (1.0 + a * mean);
                let y = self.model.counts[row];
                slope += (y - mean) * share;
                weight += mean * (1.0 + a * y) * share * share;
            }
            curvature = 1.0 + sigma * sigma * weight;
            let step = ((sigma * slope - u) / curvature).clamp(-2.0, 2.0);
            u += step;
            // Quadrature is centred here, not differentiated: a hundredth of a standard deviation
            // off the mode is as good as the mode.
            if step * step * curvature < 1e-4 {
                break;
            }
        }
        (u, curvature)
    }

    /// Adds one block's value, gradient and information.
    fn add_block(&mut self, block: usize, at: &[f64], out: &mut newton::Point) {
        let model = self.model;
        let width = model.matrix.width();
        let (sigma, alpha) = (at[width], at[width + 1]);
        let a = alpha * alpha;
        let rows = &model.order[model.bounds[block]..model.bounds[block + 1]];
        self.base.clear();
        for &row in rows {
            let eta = model.offset[row] + model.matrix.predict(row, &at[..width]);
            self.base.push((eta, eta.exp()));
        }
        let (mode, curvature) = self.mode(rows, sigma, a, self.modes[block]);
        self.modes[block] = mode;
        let spread = (2.0 / curvature).sqrt();
        let plots = rows.len();
        let mut top = f64::NEG_INFINITY;
        for (q, (&node, &log_weight)) in model.rule.nodes.iter().zip(&model.log_weights).enumerate()
        {
            let u = mode + spread * node;
            let lift = (sigma * u).exp();
            let mut sum = log_weight - 0.5 * u * u;
            let terms = &mut self.terms[q * plots..(q + 1) * plots];
            for ((slot, &row), &(eta, mean)) in terms.iter_mut().zip(rows).zip(&self.base) {
                let t = kernel::terms(model.counts[row], eta + sigma * u, mean * lift, a);
                sum += t.value;
                *slot = t;
            }
            self.points[q] = (u, sum);
            top = top.max(sum);
        }
        let mut total = 0.0;
        for (_, weight) in &mut self.points {
            *weight = (*weight - top).exp();
            total += *weight;
        }
        // log of (spread / sqrt(2 pi)) times the sum over points.
        out.value += top + (total * spread * ROOT_TWO_PI_INVERSE).ln();
        for (_, weight) in &mut self.points {
            *weight /= total;
        }
        self.add_derivatives(rows, alpha, out);
    }

    /// Posterior means of the score and of the information, by Louis' identity.
    fn add_derivatives(&mut self, rows: &[usize], alpha: f64, out: &mut newton::Point) {
        let matrix = self.model.matrix;
        let width = matrix.width();
        let all = width + 2;
        let plots = rows.len();
        let (sigma_row, alpha_row) = (width * all, (width + 1) * all);
        // Information within each point, averaged over points plot by plot.
        for (i, &row) in rows.iter().enumerate() {
            let mut mean = [0.0; 6];
            for (q, &(u, weight)) in self.points.iter().enumerate() {
                let t = &self.terms[q * plots + i];
                let (w, cross) = (weight * t.weight, weight * t.eta_a);
                mean[0] += w;
                mean[1] += w * u;
                mean[2] += w * u * u;
                mean[3] += cross;
                mean[4] += cross * u;
                mean[5] += weight * (4.0 * alpha * alpha * t.a_a + 2.0 * t.a);
            }
            let (columns, values) = matrix.cells(row);
            for (j, (&c, v)) in columns.iter().zip(values).enumerate() {
                for (&d, w) in columns[..=j].iter().zip(values) {
                    out.information[c * all + d] += mean[0] * v * w;
                }
                out.information[sigma_row + c] += mean[1] * v;
                out.information[alpha_row + c] -= 2.0 * alpha * mean[3] * v;
            }
            out.information[sigma_row + width] += mean[2];
            out.information[alpha_row + width] -= 2.0 * alpha * mean[4];
            out.information[alpha_row + width + 1] -= mean[5];
        }
        // Less the scatter of the score between points.
        self.mean_score.fill(0.0);
        for (q, &(u, weight)) in self.points.iter().enumerate() {
            self.score.fill(0.0);
            let (mut slope, mut bend) = (0.0, 0.0);
            for (&row, t) in rows.iter().zip(&self.terms[q * plots..(q + 1) * plots]) {
                let (columns, values) = matrix.cells(row);
                for (&c, v) in columns.iter().zip(values) {
                    self.score[c] += v * t.eta;
                }
                slope += t.eta;
                bend += t.a;
            }
            self.score[width] = slope * u;
            self.score[width + 1] = 2.0 * alpha * bend;
            for row in 0..all {
                let scaled = weight * self.score[row];
                self.mean_score[row] += scaled;
                let line = &mut out.information[row * all..=row * all + row];
                for (into, s) in line.iter_mut().zip(&self.score) {
                    *into -= scaled * s;
                }
            }
        }
        for row in 0..all {
            out.gradient[row] += self.mean_score[row];
            let line = &mut out.information[row * all..=row * all + row];
            for (into, s) in line.iter_mut().zip(&self.mean_score) {
                *into += self.mean_score[row] * s;
            }
        }
    }
}

/// 1 / sqrt(2 pi).
const ROOT_TWO_PI_INVERSE: f64 = 0.398_942_280_401_432_7;

impl LogLikelihood for BlockSurface<'_, '_> {
    fn evaluate(&mut self, at: &[f64], out: &mut newton::Point) {
        out.reset(at);
        let width = self.model.matrix.width();
        let alpha = at[width + 1];
        for block in 0..self.modes.len() {
            self.add_block(block, at, out);
        }
        let (value, first, second) = self.model.kernel.sums(alpha * alpha);
        out.value += value;
        let corner = (width + 1) * (width + 2) + width + 1;
        out.gradient[width + 1] += 2.0 * alpha * first;
        out.information[corner] -= 4.0 * alpha * alpha * second + 2.0 * first;
    }
}
