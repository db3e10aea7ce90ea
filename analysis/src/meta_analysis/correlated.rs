//! Several effects a trial, whose errors are correlated because they share a control.

use ndarray::{Array1, Array2, ArrayView1};

use super::weighted_fit::{Model, WeightedFit};
use crate::numerics::cholesky::Cholesky;

/// The effects of one trial: estimates, their covariance, and what each is the sum of.
#[derive(Debug, Clone)]
pub(super) struct Contrasts {
    pub(super) estimates: Array1<f64>,
    pub(super) covariance: Array2<f64>,
    pub(super) columns: Array2<f64>,
}

/// All trials; the true effects of a trial differ from the average with variance tau^2 each and covariance tau^2 / 2, as
/// contrasts of treatments do whose own effects differ independently (Higgins & Whitehead 1996, Statistics in Medicine
/// 15:2733-2749).
#[derive(Debug, Clone)]
pub(super) struct Correlated {
    pub(super) trials: Vec<Contrasts>,
    pub(super) width: usize,
}

/// What a tau^2 of 1 adds to the covariance of `size` contrasts.
fn pattern(size: usize) -> Array2<f64> {
    Array2::from_shape_fn((size, size), |(i, j)| if i == j { 1.0 } else { 0.5 })
}

/// Smallest eigenvalue of any [`pattern`] of two or more contrasts; that of one is 1.
const LEAST: f64 = 0.5;

/// A trial at one tau^2.
struct Weighed<'a> {
    trial: &'a Contrasts,
    root: Cholesky,
    /// The inverse of the covariance times the columns.
    weighted_columns: Array2<f64>,
}

impl<'a> Weighed<'a> {
    fn new(trial: &'a Contrasts, tau2: f64) -> Option<Self> {
        let size = trial.estimates.len();
        let root = Cholesky::new(&trial.covariance + &(tau2 * pattern(size)), 0.0).ok()?;
        let mut weighted_columns = Array2::zeros(trial.columns.dim());
        for (from, mut into) in
            (trial.columns.columns().into_iter()).zip(weighted_columns.columns_mut())
        {
            into.assign(&weighted(&root, &from));
        }
        Some(Self {
            trial,
            root,
            weighted_columns,
        })
    }
}

/// The inverse of a covariance times a vector.
fn weighted(root: &Cholesky, vector: &ArrayView1<'_, f64>) -> Array1<f64> {
    let mut out = vector.to_vec();
    root.solve(&mut out);
    Array1::from(out)
}

/// x' S y of a pattern S.
fn by_pattern(x: &ArrayView1<'_, f64>, y: &ArrayView1<'_, f64>) -> f64 {
    0.5 * (x.dot(y) + x.sum() * y.sum())
}

impl Model for Correlated {
    fn df(&self) -> usize {
        let effects: usize = self.trials.iter().map(|t| t.estimates.len()).sum();
        effects.saturating_sub(self.width)
    }

    fn at(&self, tau2: f64) -> Option<WeightedFit> {
        let weighed: Vec<Weighed<'_>> = (self.trials.iter())
            .map(|trial| Weighed::new(trial, tau2))
            .collect::<Option<_>>()?;
        let mut product = Array2::<f64>::zeros((self.width, self.width));
        let mut coefficients = vec![0.0; self.width];
        for Weighed {
            trial,
            weighted_columns,
            ..
        } in &weighed
        {
            product += &trial.columns.t().dot(weighted_columns);
            let along = weighted_columns.t().dot(&trial.estimates);
            coefficients
                .iter_mut()
                .zip(along)
                .for_each(|(sum, x)| *sum += x);
        }
        let factor = Cholesky::new(product, super::weighted_fit::DEPENDENT).ok()?;
        factor.solve(&mut coefficients);
        let covariance = factor.inverse();
        let fitted = Array1::from(coefficients.clone());
        let (mut q, mut q_squared, mut trace, mut ln_variance) = (0.0, 0.0, 0.0, 0.0);
        let mut by_columns = Array2::<f64>::zeros((self.width, self.width));
        for Weighed {
            trial,
            root,
            weighted_columns,
        } in &weighed
        {
            let left = &trial.estimates - &trial.columns.dot(&fitted);
            let residual = weighted(root, &left.view());
            q += left.dot(&residual);
            q_squared += by_pattern(&residual.view(), &residual.view());
            let inverse = root.inverse();
            trace += (&inverse * &pattern(inverse.nrows())).sum();
            for (a, x) in weighted_columns.columns().into_iter().enumerate() {
                for (b, y) in weighted_columns.columns().into_iter().enumerate() {
                    by_columns[[a, b]] += by_pattern(&x, &y);
                }
            }
            ln_variance += root.ln_determinant();
        }
        trace -= (&covariance * &by_columns).sum();
        Some(WeightedFit {
            ln_restricted: -0.5 * (ln_variance + factor.ln_determinant() + q),
            coefficients,
            covariance,
            q,
            q_squared,
            trace,
        })
    }

    fn squares(&self) -> Option<f64> {
        let plain = Self {
            trials: (self.trials.iter())
                .map(|trial| Contrasts {
                    covariance: Array2::eye(trial.estimates.len()),
                    ..trial.clone()
                })
                .collect(),
            width: self.width,
        };
        Some(plain.at(0.0)?.q / LEAST)
    }

    fn variances(&self) -> (f64, f64) {
        let diagonals = self
            .trials
            .iter()
            .flat_map(|t| t.covariance.diag().to_vec());
        let least = diagonals.fold(f64::INFINITY, f64::min);
        let traces = self.trials.iter().map(|t| t.covariance.diag().sum());
        (least, traces.fold(0.0, f64::max) / LEAST)
    }
}
