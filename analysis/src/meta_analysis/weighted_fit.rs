//! Weighted least squares of effects on columns, at one variance between trials.

use ndarray::{Array2, ArrayView2};

use crate::numerics::cholesky::Cholesky;

/// Effects with their sampling variances on columns; the columns do not determine each other.
#[derive(Debug, Clone)]
pub(super) struct Model<'a> {
    pub(super) effects: &'a [f64],
    pub(super) variances: &'a [f64],
    pub(super) columns: ArrayView2<'a, f64>,
}

/// The fit at one tau^2.
#[derive(Debug, Clone)]
pub(super) struct WeightedFit {
    pub(super) coefficients: Vec<f64>,
    /// Inverse of X'WX: their covariance, were variances known.
    pub(super) covariance: Array2<f64>,
    pub(super) weights: Vec<f64>,
    /// Weighted sum of squared residuals.
    pub(super) q: f64,
    /// Sum of squared residuals, each times its weight: `y'PPy`.
    pub(super) q_squared: f64,
    /// Trace of P = W - WX (X'WX)^-1 X'W.
    pub(super) trace: f64,
    /// Log of the restricted likelihood, without its constants.
    pub(super) ln_restricted: f64,
}

/// A column whose part that is its own falls below this share of its square is one of those before it: what is left is
/// rounding. Columns are centred first, so that years do not look like the intercept.
pub(super) const DEPENDENT: f64 = 1e-10;

impl Model<'_> {
    /// Trials less columns.
    pub(super) fn df(&self) -> usize {
        self.effects.len().saturating_sub(self.columns.ncols())
    }

    /// X'WX, factored; the number of the column that depends on those before it where there is one.
    pub(super) fn factor(&self, weights: &[f64]) -> Result<Cholesky, usize> {
        let width = self.columns.ncols();
        let mut product = Array2::zeros((width, width));
        for (row, &weight) in self.columns.rows().into_iter().zip(weights) {
            for a in 0..width {
                for b in 0..=a {
                    product[[a, b]] += weight * row[a] * row[b];
                }
            }
        }
        Cholesky::new(product, DEPENDENT)
    }

    /// The fit where trials differ with variance `tau2`; `None` where the columns determine each other.
    pub(super) fn at(&self, tau2: f64) -> Option<WeightedFit> {
        let weights: Vec<f64> = self.variances.iter().map(|v| 1.0 / (v + tau2)).collect();
        self.weighted(weights)
    }

    /// The fit with these weights.
    pub(super) fn weighted(&self, weights: Vec<f64>) -> Option<WeightedFit> {
        let factor = self.factor(&weights).ok()?;
        let mut coefficients = vec![0.0; factor.order()];
        for ((row, weight), y) in (self.columns.rows().into_iter().zip(&weights)).zip(self.effects)
        {
            for (sum, x) in coefficients.iter_mut().zip(row) {
                *sum += weight * x * y;
            }
        }
        factor.solve(&mut coefficients);
        let (mut q, mut q_squared, mut trace, mut ln_weights) = (0.0, 0.0, 0.0, 0.0);
        let mut leverage = vec![0.0; factor.order()];
        for ((row, &weight), y) in (self.columns.rows().into_iter().zip(&weights)).zip(self.effects)
        {
            let fitted: f64 = row.iter().zip(&coefficients).map(|(x, b)| x * b).sum();
            let part = weight * (y - fitted).powi(2);
            q += part;
            q_squared += weight * part;
            leverage.iter_mut().zip(row).for_each(|(l, x)| *l = *x);
            factor.forward(&mut leverage);
            let squares: f64 = leverage.iter().map(|l| l * l).sum();
            trace += weight * (1.0 - weight * squares);
            ln_weights += weight.ln();
        }
        Some(WeightedFit {
            coefficients,
            covariance: factor.inverse(),
            ln_restricted: 0.5 * (ln_weights - factor.ln_determinant() - q),
            weights,
            q,
            q_squared,
            trace,
        })
    }
}
