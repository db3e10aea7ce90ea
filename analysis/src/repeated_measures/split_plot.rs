//! Stabilised counts less their expectation, compared within plots: analysis of variance by plots and occasions.

use super::counts::RepeatedCounts;
use crate::comparison::Transformation;
use crate::counts::ModelMatrix;
use crate::mixed::MarginalFit;
use crate::numerics::quadrature;

/// Points over the plots' levels: the expected stabilised count bends too little to need more.
const POINTS: usize = 15;

/// A column of which less than this share is left beside the others adds nothing: fewer than six of its
/// digits would be left.
const NOTHING_LEFT: f64 = 1e-10;

/// Squares below this share of a response's own are rounding.
const ROUNDING: f64 = 1e-26;

/// Projection that stand beside each other at right angles, each of length 1.
#[derive(Debug, Clone, Default)]
pub(super) struct Projection(Vec<Vec<f64>>);

impl Projection {
    /// A column for each plot and each occasion.
    pub(super) fn plots_and_occasions(data: &RepeatedCounts) -> Self {
        let mut columns = Self::default();
        for factor in [&data.plot, &data.occasion] {
            for level in 0..factor.levels.len() {
                let codes = factor.codes.iter();
                columns.add(codes.map(|&c| f64::from(u8::from(c == level))).collect());
            }
        }
        columns
    }

    /// Adds what a column has beyond the others.
    pub(super) fn add(&mut self, column: Vec<f64>) {
        let own = dot(&column, &column);
        let left = self.beside(column);
        let length = dot(&left, &left);
        if length > NOTHING_LEFT * own {
            let scale = length.sqrt().recip();
            self.0.push(left.iter().map(|x| x * scale).collect());
        }
    }

    pub(super) fn number(&self) -> usize {
        self.0.len()
    }

    /// What is left of a column, the others taken out twice so that rounding leaves nothing.
    fn beside(&self, mut column: Vec<f64>) -> Vec<f64> {
        for _ in 0..2 {
            for other in &self.0 {
                let share = dot(other, &column);
                for (x, o) in column.iter_mut().zip(other) {
                    *x -= share * o;
                }
            }
        }
        column
    }

    /// Squares of a response beside the columns; none below its rounding.
    pub(super) fn squares_left(&self, response: &[f64]) -> f64 {
        let left = self.beside(response.to_vec());
        let squares = dot(&left, &left);
        if squares > ROUNDING * dot(response, response) {
            squares
        } else {
            0.0
        }
    }
}

/// F of what `full` explains beyond `part`, and both degrees of freedom; `None` where nothing is left to
/// tell it from. Infinite where nothing scatters, 0 where nothing differs either.
pub(super) fn f_ratio(
    part: &Projection,
    full: &Projection,
    response: &[f64],
) -> Option<(f64, f64, f64)> {
    let more = full.number().saturating_sub(part.number());
    let rest = response.len().saturating_sub(full.number());
    if more == 0 || rest == 0 {
        return None;
    }
    let (without, with) = (part.squares_left(response), full.squares_left(response));
    let gained = (without - with).max(0.0);
    let (more, rest) = (more as f64, rest as f64);
    let ratio = if gained <= 1e-12 * without {
        0.0
    } else {
        (gained / more) / (with / rest)
    };
    Some((ratio, more, rest))
}

/// Stabilised counts less what the fitted model expects of a plot of unknown level.
pub(super) fn residuals(
    data: &RepeatedCounts,
    offset: &[f64],
    matrix: &ModelMatrix,
    fit: &MarginalFit,
) -> Vec<f64> {
    let scale = Transformation::new(fit.inverse_k, 0.0);
    let expected: Vec<f64> = (0..data.counts.len())
        .map(|row| offset[row] + matrix.predict(row, &fit.beta))
        .collect();
    let sigma = fit.sigma.first().copied().unwrap_or(0.0);
    let rule = quadrature::hermite(if sigma > 0.0 { POINTS } else { 1 });
    let total: f64 = rule.weights.iter().sum();
    let levels: Vec<(f64, f64)> = rule
        .nodes
        .iter()
        .zip(&rule.weights)
        .map(|(x, w)| (std::f64::consts::SQRT_2 * sigma * x, w / total))
        .collect();
    let reach = levels.iter().map(|l| l.0).fold(0.0, f64::max);
    let low = expected.iter().copied().fold(f64::INFINITY, f64::min) - reach;
    let high = expected.iter().copied().fold(f64::NEG_INFINITY, f64::max) + reach;
    let curve = (low.is_finite() && high.is_finite()).then(|| scale.expected_series(low, high));
    data.counts
        .iter()
        .zip(&expected)
        .map(|(&count, eta)| {
            let mean = curve.as_ref().map_or(0.0, |curve| {
                levels.iter().map(|(u, w)| w * curve.at(eta + u)).sum()
            });
            scale.of(count as f64) - mean
        })
        .collect()
}

fn dot(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(x, y)| x * y).sum()
}
