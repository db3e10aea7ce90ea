//! Several random terms at once, by Laplace's approximation.
//!
//! For rows and columns of a square, whole plots within blocks, or plots within blocks when the
//! cores themselves are analysed. The random effects are integrated out by a normal approximation
//! at their joint mode (Breslow & Clayton 1993, JASA 88:9-25, section 2; Wolfinger 1993, Biometrika
//! 80:791-795); the gradient is that of the approximation itself, mode and curvature included.

use super::climb::{self, Point, Surface};
use super::marginal::{Ground, MarginalFit};
use crate::Error;
use crate::arithmetic::{cholesky, quadrature};
use crate::counts::{Kernel, ModelMatrix, first_guess, kernel};

/// A model of counts with several normal random terms on the log scale.
#[derive(Debug, Clone)]
pub struct RandomTerms<'a> {
    counts: Vec<f64>,
    offset: &'a [f64],
    matrix: &'a ModelMatrix,
    kernel: Kernel,
    /// For each term, where its effects start among all effects; then their total.
    starts: Vec<usize>,
    /// For each plot, its effect in each term.
    effects: Vec<Vec<usize>>,
}

impl<'a> RandomTerms<'a> {
    /// Prepares a model; each of `terms` gives for every plot the number of its group, from 0.
    ///
    /// # Errors
    /// Lengths that differ, or no plots.
    pub fn new(
        counts: &[u64],
        offset: &'a [f64],
        matrix: &'a ModelMatrix,
        terms: &[Vec<usize>],
    ) -> Result<Self, Error> {
        let rows = matrix.rows();
        let whole = counts.len() == rows && offset.len() == rows;
        if rows == 0 || !whole || terms.iter().any(|t| t.len() != rows) {
            return Err(Error::new(
                "counts",
                format!("{} counts and {} offsets", counts.len(), offset.len()),
                format!("each of the {rows} plots needs one, and a group in every random term"),
                "check that no plot was left out on one side",
            ));
        }
        let mut starts = vec![0];
        for term in terms {
            let groups = term.iter().copied().max().map_or(0, |g| g + 1);
            starts.push(starts[starts.len() - 1] + groups);
        }
        let effects = (0..rows)
            .map(|row| {
                terms
                    .iter()
                    .zip(&starts)
                    .map(|(t, start)| start + t[row])
                    .collect()
            })
            .collect();
        Ok(Self {
            kernel: Kernel::new(counts),
            counts: counts.iter().map(|&y| y as f64).collect(),
            offset,
            matrix,
            starts,
            effects,
        })
    }

    /// Number of random terms.
    fn terms(&self) -> usize {
        self.starts.len() - 1
    }

    /// Coefficients by least squares on log(count + 1/2), and middling variances.
    fn first_guess(&self) -> Vec<f64> {
        let mut at = first_guess(&self.counts, self.offset, self.matrix);
        at.extend(std::iter::repeat_n(0.3, self.terms()));
        at.push(0.6);
        at
    }

    /// Finds the maximum, with coefficient `held.0` fixed at `held.1` where given, from `start` where
    /// given. `poisson` keeps k infinite. All counts zero gives the defined limit.
    #[must_use]
    pub fn fit(
        &self,
        held: Option<(usize, f64)>,
        start: Option<&MarginalFit>,
        poisson: bool,
    ) -> MarginalFit {
        let (width, terms) = (self.matrix.width(), self.terms());
        if self.counts.iter().all(|&y| y == 0.0) {
            return MarginalFit::all_zero(width, terms, held);
        }
        let mut at = start.map_or_else(|| self.first_guess(), MarginalFit::restart);
        let last = width + terms;
        let mut free = vec![true; last + 1];
        if let Some((column, value)) = held {
            at[column] = value;
            free[column] = false;
        }
        if poisson {
            at[last] = 0.0;
            free[last] = false;
        }
        let roots: Vec<usize> = (width..=last).collect();
        let mut surface = Surfaces::new(self);
        let (top, convergence) = climb::climb(&mut surface, &at, &free, &roots);
        MarginalFit::from_climb(&top, width, convergence)
    }

    /// What the counts say of each plot's ground, all terms together, at `fit`: a normal law about the
    /// joint mode, by five points.
    #[must_use]
    pub fn ground(&self, fit: &MarginalFit) -> Ground {
        let rows = self.counts.len();
        let of = (0..rows).collect();
        if self.counts.iter().all(|&y| y == 0.0) || fit.sigma.iter().all(|&s| s == 0.0) {
            let nodes = vec![vec![(0.0, 1.0)]; rows];
            return Ground { nodes, of };
        }
        let mut at = fit.beta.clone();
        at.extend(&fit.sigma);
        at.push(fit.inverse_k.sqrt());
        let mut surface = Surfaces::new(self);
        surface.find_mode(&at);
        let all = surface.u.len();
        let inverse = cholesky::inverse(&surface.curvature, all);
        let rule = quadrature::hermite(5);
        let total: f64 = rule.weights.iter().sum();
        let nodes = (0..rows)
            .map(|row| {
                let effects = &self.effects[row];
                let (mut mean, mut variance) = (0.0, 0.0);
                for (&e, s) in effects.iter().zip(&fit.sigma) {
                    mean += s * surface.u[e];
                    for (&f, r) in effects.iter().zip(&fit.sigma) {
                        variance += s * r * inverse[e * all + f];
                    }
                }
                let spread = (2.0 * variance.max(0.0)).sqrt();
                let points = rule.nodes.iter().zip(&rule.weights);
                points
                    .map(|(x, w)| (mean + spread * x, w / total))
                    .collect()
            })
            .collect();
        Ground { nodes, of }
    }
}

/// Buffers of one search.
struct Surfaces<'m, 'a> {
    model: &'m RandomTerms<'a>,
    /// Standardised effects at their mode.
    u: Vec<f64>,
    /// Curvature of the effects, then its factor.
    curvature: Vec<f64>,
}

impl<'m, 'a> Surfaces<'m, 'a> {
    fn new(model: &'m RandomTerms<'a>) -> Self {
        let effects = model.starts[model.terms()];
        Self {
            model,
            u: vec![0.0; effects],
            curvature: vec![0.0; effects * effects],
        }
    }

    /// Linear predictor of a plot at the present effects.
    fn eta(&self, row: usize, at: &[f64], width: usize) -> f64 {
        let effects = &self.model.effects[row];
        let random: f64 = effects
            .iter()
            .zip(&at[width..])
            .map(|(&e, s)| s * self.u[e])
            .sum();
        self.model.offset[row] + self.model.matrix.predict(row, &at[..width]) + random
    }

    /// Moves the effects to their joint mode and factors the curvature there.
    fn find_mode(&mut self, at: &[f64]) {
        let width = self.model.matrix.width();
        let all = self.u.len();
        let sigma = &at[width..width + self.model.terms()];
        let a = at[width + self.model.terms()].powi(2);
        let mut step = vec![0.0; all];
        // Concave with curvature at least 1 in every direction: Newton with held steps.
        for _ in 0..60 {
            self.curvature.fill(0.0);
            for (j, s) in step.iter_mut().enumerate() {
                *s = -self.u[j];
                self.curvature[j * all + j] = 1.0;
            }
            for row in 0..self.model.counts.len() {
                let eta = self.eta(row, at, width);
                let t = kernel::terms(self.model.counts[row], eta, eta.exp(), a);
                let effects = &self.model.effects[row];
                for (&e, s) in effects.iter().zip(sigma) {
                    step[e] += s * t.eta;
                    for (&f, r) in effects.iter().zip(sigma) {
                        self.curvature[e * all + f] += s * r * t.weight;
                    }
                }
            }
            let gradient = step.clone();
            // Cannot fail: the matrix is the identity plus a positive semidefinite one.
            if cholesky::factor(&mut self.curvature, all, 0.0).is_err() {
                return;
            }
            cholesky::solve(&self.curvature, all, &mut step);
            let length: f64 = step.iter().zip(&gradient).map(|(s, g)| s * g).sum();
            // The value at the mode is flat to second order, so a step of 1e-5 standard errors
            // leaves 1e-10 of the log-likelihood; the gradient below assumes the mode.
            if length < 1e-18 {
                return;
            }
            let largest = step.iter().fold(0.0_f64, |m, s| m.max(s.abs()));
            let share = if largest > 2.0 { 2.0 / largest } else { 1.0 };
            for (u, s) in self.u.iter_mut().zip(&step) {
                *u += share * s;
            }
        }
    }

    /// Value and gradient of the approximation.
    fn value_and_gradient(&mut self, at: &[f64], gradient: &mut [f64]) -> f64 {
        self.find_mode(at);
        let model = self.model;
        let (width, terms) = (model.matrix.width(), model.terms());
        let all = self.u.len();
        let sigma = &at[width..width + terms];
        let alpha = at[width + terms];
        let a = alpha * alpha;
        let inverse = cholesky::inverse(&self.curvature, all);
        let rows = model.counts.len();
        let mut plots = Vec::with_capacity(rows);
        let mut pull = vec![0.0; all];
        let (constants, first, _) = model.kernel.sums(a);
        let mut value = constants
            - 0.5 * self.u.iter().map(|u| u * u).sum::<f64>()
            - 0.5 * cholesky::ln_determinant(&self.curvature, all);
        for row in 0..rows {
            let eta = self.eta(row, at, width);
            let (y, mean) = (model.counts[row], eta.exp());
            let t = kernel::terms(y, eta, mean, a);
            value += t.value;
            let share = 1.0 / (1.0 + a * mean);
            let effects = &model.effects[row];
            let mut variance = 0.0;
            for (&e, s) in effects.iter().zip(sigma) {
                for (&f, r) in effects.iter().zip(sigma) {
                    variance += s * r * inverse[e * all + f];
                }
            }
            let bend = t.weight * (1.0 - a * mean) * share;
            let weight_a = mean * (y - 2.0 * mean * (1.0 + a * y) * share) * share * share;
            for (&e, s) in effects.iter().zip(sigma) {
                pull[e] += s * variance * bend;
            }
            plots.push((t, variance * bend, variance * weight_a));
        }
        cholesky::solve(&self.curvature, all, &mut pull);
        gradient.fill(0.0);
        gradient[width + terms] = first;
        for (row, (t, bent, bent_a)) in plots.iter().enumerate() {
            let effects = &model.effects[row];
            let carried: f64 = effects.iter().zip(sigma).map(|(&e, s)| s * pull[e]).sum();
            let slope = t.eta - 0.5 * (bent - t.weight * carried);
            model.matrix.add_row(row, slope, &mut gradient[..width]);
            for (m, &e) in effects.iter().enumerate() {
                let own: f64 = effects
                    .iter()
                    .zip(sigma)
                    .map(|(&f, s)| s * inverse[e * all + f])
                    .sum();
                gradient[width + m] += slope * self.u[e] - t.weight * own - 0.5 * t.eta * pull[e];
            }
            gradient[width + terms] += t.a - 0.5 * (bent_a + t.eta_a * carried);
        }
        gradient[width + terms] *= 2.0 * alpha;
        value
    }
}

impl Surface for Surfaces<'_, '_> {
    /// The information is taken by differences of the exact gradient.
    fn evaluate(&mut self, at: &[f64], out: &mut Point) {
        out.reset(at);
        let all = at.len();
        let mut gradient = vec![0.0; all];
        out.value = self.value_and_gradient(at, &mut gradient);
        let mut moved = at.to_vec();
        let mut beside = vec![0.0; all];
        let kept = self.u.clone();
        for j in 0..all {
            // Half the digits of a gradient that is good to about 1e-10.
            let by = 1e-5 * at[j].abs().max(1.0);
            moved[j] = at[j] + by;
            self.value_and_gradient(&moved, &mut beside);
            moved[j] = at[j];
            for i in 0..all {
                let information = (gradient[i] - beside[i]) / by;
                let (row, column) = (i.max(j), i.min(j));
                let share = if i == j { 1.0 } else { 0.5 };
                out.information[row * all + column] += share * information;
            }
        }
        self.u = kept;
        out.gradient.copy_from_slice(&gradient);
    }
}
