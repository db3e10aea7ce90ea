//! Several random terms at once, by Laplace's approximation.
//!
//! For rows and columns of a square, whole plots within blocks, or plots within blocks when the
//! samples themselves are analysed. The random effects are integrated out by a normal approximation
//! at their joint mode (Breslow & Clayton 1993, JASA 88:9-25, section 2; Wolfinger 1993, Biometrika
//! 80:791-795); the gradient is that of the approximation itself, mode and curvature included.

use super::conditional_mode::ConditionalMode;
use super::connected_components::ConnectedComponents;
use super::laplace_derivatives::Laplace;
use super::marginal::{EffectPosterior, MarginalFit};
use super::newton;
use crate::Error;
use crate::counts::{Kernel, ModelMatrix, starting_values};
use crate::numerics::quadrature;

/// A model of counts with several normal random terms on the log scale.
#[derive(Debug, Clone)]
pub struct RandomEffects<'a> {
    pub(super) counts: Vec<f64>,
    pub(super) offset: &'a [f64],
    pub(super) matrix: &'a ModelMatrix,
    pub(super) kernel: Kernel,
    pub(super) components: ConnectedComponents,
}

impl<'a> RandomEffects<'a> {
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
        Ok(Self {
            kernel: Kernel::new(counts),
            counts: counts.iter().map(|&y| y as f64).collect(),
            offset,
            matrix,
            components: ConnectedComponents::new(rows, terms),
        })
    }

    /// Middling variances, and coefficients by least squares on log(count + 1/2) with them.
    fn starting_values(&self) -> Vec<f64> {
        let mut roots = vec![0.3; self.components.terms()];
        roots.push(0.6);
        let scatter = roots.iter().map(|r| r * r).sum();
        let mut at = starting_values(&self.counts, self.offset, self.matrix, scatter);
        at.extend(roots);
        at
    }

    /// Finds the maximum, with coefficient `fixed.0` fixed at `fixed.1` where given, both ways as
    /// [`RandomBlock::fit`](super::block::RandomBlock::fit) does unless `start` is given. `poisson` keeps k infinite. All counts zero gives the defined limit.
    #[must_use]
    pub fn fit(
        &self,
        fixed: Option<(usize, f64)>,
        start: Option<&MarginalFit>,
        poisson: bool,
    ) -> MarginalFit {
        let (width, terms) = (self.matrix.width(), self.components.terms());
        if self.counts.iter().all(|&y| y == 0.0) {
            return MarginalFit::all_zero(width, terms, fixed);
        }
        let mut at = start.map_or_else(|| self.starting_values(), MarginalFit::restart);
        let last = width + terms;
        let mut free = vec![true; last + 1];
        if let Some((column, value)) = fixed {
            at[column] = value;
            free[column] = false;
        }
        if poisson {
            at[last] = 0.0;
            free[last] = false;
        }
        let roots: Vec<usize> = (width..=last).collect();
        let mut log_likelihood = Laplace::new(self);
        let first = newton::maximise(&mut log_likelihood, &at, &free, &roots);
        let other = newton::all_within(&first.0.at, &roots);
        let other = other.or_else(|| newton::half_between(&first.0.at, &roots));
        let both_ways = start.is_none() && !poisson;
        let (top, convergence) = match other.filter(|_| both_ways) {
            Some(other) => newton::also_from(&mut log_likelihood, &other, first, &free, &roots),
            None => first,
        };
        MarginalFit::from_maximum(&top, width, convergence)
    }

    /// Posterior of each plot's random effects, all terms together, at `fit`: a normal law about the
    /// joint mode, by five points.
    #[must_use]
    pub fn posterior(&self, fit: &MarginalFit) -> EffectPosterior {
        let rows = self.counts.len();
        let group = (0..rows).collect();
        if self.counts.iter().all(|&y| y == 0.0) || fit.sigma.iter().all(|&s| s == 0.0) {
            let nodes = vec![vec![(0.0, 1.0)]; rows];
            return EffectPosterior { nodes, group };
        }
        let mut at = fit.beta.clone();
        at.extend(&fit.sigma);
        at.push(fit.inverse_k.sqrt());
        let mut mode = ConditionalMode::new(self);
        let with = mode.split(&at);
        let rule = quadrature::hermite(5);
        let total: f64 = rule.weights.iter().sum();
        let mut nodes = vec![Vec::new(); rows];
        for component in 0..self.components.len() {
            mode.integrate(component, with);
            let (u, inverse) = (mode.effects(component), &mode.inverse);
            for &row in self.components.rows(component) {
                let places = self.components.places(row);
                let (mut mean, mut variance) = (0.0, 0.0);
                for (&e, s) in places.iter().zip(&fit.sigma) {
                    mean += s * u[e];
                    for (&f, r) in places.iter().zip(&fit.sigma) {
                        variance += s * r * inverse[e * u.len() + f];
                    }
                }
                let spread = (2.0 * variance.max(0.0)).sqrt();
                let points = rule.nodes.iter().zip(&rule.weights);
                nodes[row] = points
                    .map(|(x, w)| (mean + spread * x, w / total))
                    .collect();
            }
        }
        EffectPosterior { nodes, group }
    }
}
