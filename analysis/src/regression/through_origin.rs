//! Least squares without an intercept: what costs nothing where nothing is done.
//!
//! In: a response and one or two columns. Out: coefficients and the interval for the next response at given values of the
//! columns. Assumes errors of one variance that do not depend on one another, and normal ones for the interval. Source:
//! Draper & Smith, *Applied Regression Analysis* (3rd ed. 1998), sections 5.1 (matrix form) and 3.1 (interval for a new
//! observation). Not for rates that may be below 0.

use crate::distributions::t_quantile;
use crate::results::Interval;

/// A fit of `y` on one column or two, without an intercept.
#[derive(Debug, Clone, PartialEq)]
pub struct ThroughOrigin {
    /// One for each column.
    pub coefficients: Vec<f64>,
    /// Observations less columns.
    pub residual_df: usize,
    /// Residual variance.
    pub variance: f64,
    /// Inverse of the columns' cross-products, row by row.
    inverse: Vec<f64>,
}

/// Share of a column that must not lie in the direction of the other: below it rounding alone decides what belongs to which.
const APART: f64 = 1e-9;

impl ThroughOrigin {
    /// Fits `y` on columns of the same length; `None` with as few observations as columns, with no column, more than two, or
    /// with columns that are multiples of one another or hold nothing.
    #[must_use]
    pub fn fit(y: &[f64], columns: &[&[f64]]) -> Option<Self> {
        if columns.iter().any(|c| c.len() != y.len()) || y.len() <= columns.len() {
            return None;
        }
        let dot = |a: &[f64], b: &[f64]| a.iter().zip(b).map(|(x, z)| x * z).sum::<f64>();
        let inverse = match columns {
            [x] => {
                let square = dot(x, x);
                (square > 0.0).then(|| vec![1.0 / square])?
            }
            [x, z] => {
                let (xx, xz, zz) = (dot(x, x), dot(x, z), dot(z, z));
                let determinant = xx * zz - xz * xz;
                let apart = determinant > APART * xx * zz;
                apart.then(|| {
                    let part = |v: f64| v / determinant;
                    vec![part(zz), part(-xz), part(-xz), part(xx)]
                })?
            }
            _ => return None,
        };
        let products: Vec<f64> = columns.iter().map(|c| dot(c, y)).collect();
        let coefficients: Vec<f64> = inverse
            .chunks(columns.len())
            .map(|row| dot(row, &products))
            .collect();
        let residual_df = y.len() - columns.len();
        let fitted = |i: usize| -> f64 {
            columns
                .iter()
                .zip(&coefficients)
                .map(|(c, b)| c[i] * b)
                .sum()
        };
        let squares: f64 = y
            .iter()
            .enumerate()
            .map(|(i, y)| (y - fitted(i)).powi(2))
            .sum();
        Some(Self {
            coefficients,
            residual_df,
            variance: squares / residual_df as f64,
            inverse,
        })
    }

    /// What is expected where the columns are `at`.
    #[must_use]
    pub fn expected(&self, at: &[f64]) -> f64 {
        self.coefficients.iter().zip(at).map(|(b, x)| b * x).sum()
    }

    /// Interval that holds the next response at `at` with confidence `level`.
    ///
    /// ```
    /// use halfgreen_analysis::regression::ThroughOrigin;
    /// let fit = ThroughOrigin::fit(&[2.0, 4.1, 5.9], &[&[1.0, 2.0, 3.0]]).unwrap();
    /// let next = fit.next(&[4.0], 0.95);
    /// assert!(next.low < fit.expected(&[4.0]) && next.high > fit.expected(&[4.0]));
    /// ```
    #[must_use]
    pub fn next(&self, at: &[f64], level: f64) -> Interval {
        let rows = self.inverse.chunks(at.len());
        let leverage: f64 = rows
            .zip(at)
            .map(|(row, x)| x * row.iter().zip(at).map(|(v, z)| v * z).sum::<f64>())
            .sum();
        let half = t_quantile(0.5 + 0.5 * level, self.residual_df as f64)
            * (self.variance * (1.0 + leverage)).sqrt();
        let expected = self.expected(at);
        Interval {
            low: expected - half,
            high: expected + half,
            level,
        }
    }
}
