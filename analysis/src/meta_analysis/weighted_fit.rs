//! Weighted least squares of effects on columns, at one variance between trials.

use ndarray::{Array2, ArrayView2};

use crate::numerics::cholesky::Cholesky;

/// Effects as they follow columns beside their own errors and a variance between trials.
pub(super) trait Model {
    /// Effects less columns.
    fn df(&self) -> usize;

    /// The fit where trials differ with variance `tau2`; `None` where the columns determine each other.
    fn at(&self, tau2: f64) -> Option<WeightedFit>;

    /// A bound for the squared residuals in units of tau^2: those of least squares, over the smallest variance that a tau^2 of 1
    /// gives any sum of effects of length 1.
    fn squares(&self) -> Option<f64>;

    /// The smallest sampling variance and a bound for the largest, in the same units.
    fn variances(&self) -> (f64, f64);
}

/// One effect a trial, with its sampling variance, on columns.
#[derive(Debug, Clone)]
pub(super) struct Independent<'a> {
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
    /// Weighted sum of squared residuals.
    pub(super) q: f64,
    /// Weighted residuals squared, by what a tau^2 of 1 gives them: `y'PPy` where trials are independent.
    pub(super) q_squared: f64,
    /// Trace of P = W - WX (X'WX)^-1 X'W, by the same.
    pub(super) trace: f64,
    /// Log of the restricted likelihood, without its constants.
    pub(super) ln_restricted: f64,
}

/// A column whose part that is its own falls below this share of its square is one of those before it: what is left is
/// rounding. Columns are centred first, so that years do not look like the intercept.
pub(super) const DEPENDENT: f64 = 1e-10;

impl Independent<'_> {
    /// Weight of each effect where trials differ with variance `tau2`.
    pub(super) fn weights(&self, tau2: f64) -> Vec<f64> {
        self.variances.iter().map(|v| 1.0 / (v + tau2)).collect()
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

    /// The fit with these weights.
    pub(super) fn weighted(&self, weights: &[f64]) -> Option<WeightedFit> {
        let factor = self.factor(weights).ok()?;
        let mut coefficients = vec![0.0; factor.order()];
        for ((row, weight), y) in (self.columns.rows().into_iter().zip(weights)).zip(self.effects) {
            for (sum, x) in coefficients.iter_mut().zip(row) {
                *sum += weight * x * y;
            }
        }
        factor.solve(&mut coefficients);
        let (mut q, mut q_squared, mut trace, mut ln_weights) = (0.0, 0.0, 0.0, 0.0);
        let mut leverage = vec![0.0; factor.order()];
        for ((row, &weight), y) in (self.columns.rows().into_iter().zip(weights)).zip(self.effects)
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
            q,
            q_squared,
            trace,
        })
    }
}

impl Model for Independent<'_> {
    fn df(&self) -> usize {
        self.effects.len().saturating_sub(self.columns.ncols())
    }

    fn at(&self, tau2: f64) -> Option<WeightedFit> {
        self.weighted(&self.weights(tau2))
    }

    fn squares(&self) -> Option<f64> {
        Some(self.weighted(&vec![1.0; self.effects.len()])?.q)
    }

    fn variances(&self) -> (f64, f64) {
        let ends =
            |pick: fn(f64, f64) -> f64, none| self.variances.iter().copied().fold(none, pick);
        (ends(f64::min, f64::INFINITY), ends(f64::max, 0.0))
    }
}
