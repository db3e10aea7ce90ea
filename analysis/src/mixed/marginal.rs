//! What every mixed fit hands back.

use ndarray::Array2;

use super::newton::Point;
use crate::results::{Convergence, Stop};

/// Where a search ended: the maximum, or the maximum with one coefficient fixed.
#[derive(Debug, Clone, PartialEq)]
pub struct MarginalFit {
    /// Coefficients in the order of the columns, log scale.
    pub beta: Vec<f64>,
    /// Standard deviation of each random term, log scale.
    pub sigma: Vec<f64>,
    /// 1/k; 0 at the Poisson limit.
    pub inverse_k: f64,
    /// Marginal log-likelihood with every constant.
    pub log_likelihood: f64,
    /// Observed information of (coefficients, sigmas, square root of 1/k), in the lower triangle.
    pub information: Array2<f64>,
    /// How the search ended.
    pub convergence: Convergence,
}

/// Posterior of the random effects given the counts, once a model is fitted: a few nodes with their weights.
#[derive(Debug, Clone, PartialEq)]
pub struct EffectPosterior {
    /// Log effect and weight of each node, for every block or plot; the weights of one add up to 1.
    pub nodes: Vec<Vec<(f64, f64)>>,
    /// For each plot, its place in `nodes`.
    pub group: Vec<usize>,
}

impl MarginalFit {
    /// From the end of a search over (coefficients, sigmas, square root of 1/k).
    pub(super) fn from_maximum(top: &Point, width: usize, convergence: Convergence) -> Self {
        let all = top.at.len();
        let last = all - 1;
        Self {
            beta: top.at[..width].to_vec(),
            sigma: top.at[width..last].iter().map(|s| s.abs()).collect(),
            inverse_k: top.at[last].powi(2),
            log_likelihood: top.value,
            information: Array2::from_shape_fn((all, all), |(i, j)| top.information[i * all + j]),
            convergence,
        }
    }

    /// Where the search of a neighbouring model starts: here, but with variances that ended at
    /// zero given a fresh chance.
    pub(super) fn restart(&self) -> Vec<f64> {
        let mut at = self.beta.clone();
        at.extend(self.sigma.iter().map(|s| s.max(0.1)));
        at.push(self.inverse_k.sqrt().max(0.1));
        at
    }

    /// The defined answer for counts that are all zero: nothing is known but that the mean is 0.
    pub(super) fn all_zero(width: usize, terms: usize, fixed: Option<(usize, f64)>) -> Self {
        let mut beta = vec![0.0; width];
        beta[0] = f64::NEG_INFINITY;
        if let Some((column, value)) = fixed {
            beta[column] = value;
        }
        let all = width + terms + 1;
        Self {
            beta,
            sigma: vec![0.0; terms],
            inverse_k: 0.0,
            log_likelihood: 0.0,
            information: Array2::zeros((all, all)),
            convergence: Convergence {
                stop: Stop::Boundary,
                steps: 0,
                gradient: 0.0,
            },
        }
    }
}
