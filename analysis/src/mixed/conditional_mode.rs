//! The joint mode of the random effects given the counts, and the curvature there.
//!
//! With h(theta, u) the joint log density of counts and standardised effects u, the mode u(theta) is where
//! g = dh/du is zero, and H minus the second derivative of h in u.

use super::laplace::RandomEffects;
use crate::counts::kernel::{self, Curvature, Terms};
use crate::numerics::cholesky;

/// Standard errors that the last step towards a mode may still be long, squared: Newton's error
/// is then about the square of that step, 1e-10 standard errors.
const LAST_STEP: f64 = 1e-10;

/// One plot of the present component.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Plot {
    pub(super) row: usize,
    y: f64,
    /// Linear predictor and mean without the random effects.
    eta: f64,
    mean: f64,
    /// At the mode.
    pub(super) terms: Terms,
    pub(super) curvature: Curvature,
    /// Variance of the random part of its linear predictor, given the counts.
    pub(super) variance: f64,
}

/// Where the parameters lie.
#[derive(Clone, Copy)]
pub(super) struct Parameters<'p> {
    pub(super) beta: &'p [f64],
    pub(super) sigma: &'p [f64],
    /// 1/k.
    pub(super) a: f64,
}

/// Buffers of one search; those of a component have one line for each of its effects.
pub(super) struct ConditionalMode<'m, 'a> {
    pub(super) model: &'m RandomEffects<'a>,
    /// Standardised effects of all components, at their mode.
    pub(super) u: Vec<f64>,
    /// Plots of the present component.
    pub(super) plots: Vec<Plot>,
    /// exp of each effect on the log scale.
    lifts: Vec<f64>,
    step: Vec<f64>,
    /// Curvature of the effects (H), then its Cholesky factor; its inverse.
    pub(super) curvature: Vec<f64>,
    pub(super) inverse: Vec<f64>,
    /// dg/dtheta: a line over parameters for each effect.
    pub(super) cross: Vec<f64>,
}

/// Makes `buffer` hold `length` zeros.
pub(super) fn clear(buffer: &mut Vec<f64>, length: usize) {
    buffer.clear();
    buffer.resize(length, 0.0);
}

impl<'m, 'a> ConditionalMode<'m, 'a> {
    pub(super) fn new(model: &'m RandomEffects<'a>) -> Self {
        Self {
            model,
            u: vec![0.0; model.components.term().len()],
            plots: Vec::new(),
            lifts: Vec::new(),
            step: Vec::new(),
            curvature: Vec::new(),
            inverse: Vec::new(),
            cross: Vec::new(),
        }
    }

    pub(super) fn split<'p>(&self, at: &'p [f64]) -> Parameters<'p> {
        let (beta, rest) = at.split_at(self.model.matrix.width());
        let (sigma, alpha) = rest.split_at(self.model.components.terms());
        Parameters {
            beta,
            sigma,
            a: alpha[0] * alpha[0],
        }
    }

    /// Standardised effects of a component, at their mode.
    pub(super) fn effects(&self, component: usize) -> &[f64] {
        &self.u[self.model.components.effects(component)]
    }

    /// Moves a component's effects to their joint mode and returns the Laplace approximation of its
    /// log-likelihood; the mode's derivatives by the parameters are left in the buffers.
    pub(super) fn integrate(&mut self, component: usize, with: Parameters<'_>) -> f64 {
        self.find(component, with);
        self.curve(component, with)
    }

    /// Moves a component's effects to their joint mode.
    fn find(&mut self, component: usize, with: Parameters<'_>) {
        let components = &self.model.components;
        self.plots.clear();
        for &row in components.rows(component) {
            let eta = self.model.offset[row] + self.model.matrix.predict(row, with.beta);
            self.plots.push(Plot {
                row,
                y: self.model.counts[row],
                eta,
                mean: eta.exp(),
                ..Plot::default()
            });
        }
        let effects = components.effects(component);
        let terms = &components.term()[effects.clone()];
        let u = &mut self.u[effects];
        let all = u.len();
        // Concave with curvature at least 1 in every direction: Newton with fixed steps.
        for _ in 0..60 {
            clear(&mut self.curvature, all * all);
            self.step.clear();
            self.lifts.clear();
            for (j, (u, &term)) in u.iter().zip(terms).enumerate() {
                self.curvature[j * all + j] = 1.0;
                self.step.push(-u);
                self.lifts.push((with.sigma[term] * u).exp());
            }
            for plot in &self.plots {
                let places = components.places(plot.row);
                let mean = places.iter().fold(plot.mean, |m, &e| m * self.lifts[e]);
                let share = 1.0 / (1.0 + with.a * mean);
                let slope = (plot.y - mean) * share;
                let weight = mean * (1.0 + with.a * plot.y) * share * share;
                for (&e, s) in places.iter().zip(with.sigma) {
                    self.step[e] += s * slope;
                    for (&f, r) in places.iter().zip(with.sigma) {
                        self.curvature[e * all + f] += s * r * weight;
                    }
                }
            }
            // Cannot fail: the matrix is the identity plus a positive semidefinite one.
            if cholesky::factor(&mut self.curvature, all, 0.0).is_err() {
                return;
            }
            cholesky::forward(&self.curvature, all, &mut self.step);
            let length: f64 = self.step.iter().map(|s| s * s).sum();
            // A mean beyond all numbers: the value will not be one either, and the search turns back.
            if !length.is_finite() {
                return;
            }
            cholesky::backward(&self.curvature, all, &mut self.step);
            let largest = self.step.iter().fold(0.0_f64, |m, s| m.max(s.abs()));
            let share = if largest > 2.0 { 2.0 / largest } else { 1.0 };
            for (u, s) in u.iter_mut().zip(&self.step) {
                *u += share * s;
            }
            if length < LAST_STEP {
                return;
            }
        }
    }

    /// Takes terms, curvature and the motion of the mode where the effects now stand; returns the
    /// component's value.
    fn curve(&mut self, component: usize, with: Parameters<'_>) -> f64 {
        let (model, components) = (self.model, &self.model.components);
        let (width, terms) = (with.beta.len(), with.sigma.len());
        let line = width + terms + 1;
        let u = &self.u[components.effects(component)];
        let all = u.len();
        clear(&mut self.curvature, all * all);
        clear(&mut self.cross, all * line);
        let term_of = &components.term()[components.effects(component)];
        self.lifts.clear();
        for (j, (u, &term)) in u.iter().zip(term_of).enumerate() {
            self.curvature[j * all + j] = 1.0;
            self.lifts.push((with.sigma[term] * u).exp());
        }
        let mut value = -0.5 * u.iter().map(|u| u * u).sum::<f64>();
        for plot in &mut self.plots {
            let places = components.places(plot.row);
            let (mut eta, mut mean) = (plot.eta, plot.mean);
            for (&e, s) in places.iter().zip(with.sigma) {
                eta += s * u[e];
                mean *= self.lifts[e];
            }
            let t = kernel::terms(plot.y, eta, mean, with.a);
            plot.terms = t;
            plot.curvature = kernel::curvature(plot.y, mean, t.weight, with.a);
            value += t.value;
            for (m, (&e, s)) in places.iter().zip(with.sigma).enumerate() {
                let cross = &mut self.cross[e * line..(e + 1) * line];
                model.matrix.add_row(plot.row, -t.weight * s, cross);
                for (n, (&f, r)) in places.iter().zip(with.sigma).enumerate() {
                    self.curvature[e * all + f] += s * r * t.weight;
                    cross[width + n] -= t.weight * s * u[f];
                }
                cross[width + m] += t.eta;
                cross[width + terms] += t.eta_a * s;
            }
        }
        // Cannot fail, as above.
        if cholesky::factor(&mut self.curvature, all, 0.0).is_err() {
            return f64::NAN;
        }
        clear(&mut self.inverse, all * all);
        cholesky::invert(&self.curvature, all, &mut self.inverse);
        value - 0.5 * cholesky::ln_determinant(&self.curvature, all)
    }
}
