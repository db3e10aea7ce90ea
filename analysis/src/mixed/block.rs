//! One random block effect, integrated out by adaptive Gauss-Hermite quadrature.

use super::block_likelihood::{BlockLikelihood, Nodes};
use super::block_plots::BlockPlots;
use super::marginal::{EffectPosterior, MarginalFit};
use super::newton::{self, Point};
use crate::Error;
use crate::counts::{Kernel, ModelMatrix, starting_values};
use crate::results::Convergence;

/// A model of counts with normal block effects on the log scale, integrated over `N` points.
#[derive(Debug, Clone)]
pub struct RandomBlock<'a, const N: usize = POINTS> {
    counts: Vec<f64>,
    offset: &'a [f64],
    matrix: &'a ModelMatrix,
    kernel: Kernel,
    plots: BlockPlots,
    nodes: Nodes<N>,
    all_zero: bool,
}

/// Quadrature points for each block. Against 41 points, 9 leave a log-likelihood error below 1e-5
/// for block standard deviations to 1 and counts of any size (tested).
pub const POINTS: usize = 9;

impl<'a, const N: usize> RandomBlock<'a, N> {
    /// Prepares a model; `block` gives for every plot the number of its block, counted from 0.
    ///
    /// `N` is at least 3. The gradient is that of the integral, not of its approximation: it leaves out
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
        if N < 3 {
            return Err(Error::new(
                "points",
                format!("{N}"),
                "3 or more, or the search ends beside the maximum",
                "use the usual number of points, or random terms by Laplace's approximation",
            ));
        }
        let values: Vec<f64> = counts.iter().map(|&y| y as f64).collect();
        Ok(Self {
            kernel: Kernel::new(counts),
            plots: BlockPlots::new(&values, offset, matrix, block),
            nodes: Nodes::new(),
            all_zero: counts.iter().all(|&y| y == 0),
            counts: values,
            offset,
            matrix,
        })
    }

    /// Finds the maximum, with coefficient `fixed.0` fixed at `fixed.1` where given. `poisson` keeps k infinite.
    ///
    /// The likelihood may have two maxima, one with the scatter between blocks and one with it within: both are
    /// looked for, unless `start` gives the maximum of a neighbouring model, from which the search then starts.
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
        let one_block = self.plots.blocks() == 1;
        if one_block {
            // One block says nothing about how blocks differ.
            at[width] = 0.0;
            free[width] = false;
        }
        if poisson {
            at[width + 1] = 0.0;
            free[width + 1] = false;
        }
        let roots = [width, width + 1];
        let (top, convergence) = if one_block {
            // Without a block effect there is nothing to integrate.
            let nodes = Nodes::<1>::new();
            let mut likelihood = BlockLikelihood::new(&self.plots, &self.kernel, &nodes);
            let first = newton::maximise(&mut likelihood, &at, &free, &roots);
            // With a covariate there may be a maximum at the Poisson limit beside one at a finite k.
            let mut poisson = first.0.at.clone();
            poisson[width + 1] = 0.0;
            newton::also_from(&mut likelihood, &poisson, first, &free, &roots)
        } else {
            let mut likelihood = self.likelihood();
            let first = newton::maximise(&mut likelihood, &at, &free, &roots);
            match start {
                Some(_) => first,
                None => self.other_way(&mut likelihood, first, &free, &roots),
            }
        };
        MarginalFit::from_maximum(&top, width, convergence)
    }

    /// The higher of `first` and the maximum where the scatter is explained the other way.
    fn other_way(
        &self,
        likelihood: &mut BlockLikelihood<'_, N>,
        first: (Point, Convergence),
        free: &[bool],
        roots: &[usize],
    ) -> (Point, Convergence) {
        if !roots.iter().all(|&j| free[j]) {
            return first;
        }
        let Some(within) = newton::all_within(&first.0.at, roots) else {
            let between = newton::half_between(&first.0.at, roots);
            return match between {
                Some(other) => newton::also_from(likelihood, &other, first, free, roots),
                None => first,
            };
        };
        // Without block effects there is nothing to integrate, and the search costs little.
        let nodes = Nodes::<1>::new();
        let mut plain = BlockLikelihood::new(&self.plots, &self.kernel, &nodes);
        let mut held = free.to_vec();
        held[roots[0]] = false;
        let (top, _) = newton::maximise(&mut plain, &within, &held, roots);
        if top.value > first.0.value {
            newton::maximise(likelihood, &top.at, free, roots)
        } else {
            first
        }
    }

    /// What the counts say of each block's effect at `fit`: the nodes of the quadrature with their
    /// posterior weights.
    #[must_use]
    pub fn posterior(&self, fit: &MarginalFit) -> EffectPosterior {
        let blocks = self.plots.blocks();
        let group = self.plots.block_of_each();
        let sigma = fit.sigma.first().copied().unwrap_or(0.0);
        if sigma == 0.0 || self.all_zero {
            let nodes = vec![vec![(0.0, 1.0)]; blocks];
            return EffectPosterior { nodes, group };
        }
        let mut at = fit.beta.clone();
        at.extend([sigma, fit.inverse_k.sqrt()]);
        let mut likelihood = self.likelihood();
        let nodes = (0..blocks)
            .map(|block| likelihood.posterior(block, &at))
            .collect();
        EffectPosterior { nodes, group }
    }

    fn likelihood(&self) -> BlockLikelihood<'_, N> {
        BlockLikelihood::new(&self.plots, &self.kernel, &self.nodes)
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
