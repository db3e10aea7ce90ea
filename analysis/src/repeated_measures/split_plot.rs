//! Stabilised counts less their expectation, compared within plots: analysis of variance by plots and occasions.

use ndarray::Array1;

use super::counts::RepeatedCounts;
use crate::comparison::Transformation;
use crate::counts::ModelMatrix;
use crate::mixed::MarginalFit;
use crate::numerics::projection::Projection;
use crate::numerics::quadrature;

/// Points over the plots' levels: the expected stabilised count bends too little to need more.
const POINTS: usize = 15;

/// Squares below this share of a response's own are rounding.
const ROUNDING: f64 = 1e-26;

/// The space of plots and occasions, and of blocks by occasions where they are told apart.
pub(super) fn plots_and_occasions(data: &RepeatedCounts, by_block: bool) -> Projection {
    let mut space = Projection::on_groups(&data.plot.codes, data.plot.levels.len());
    space.add_factor(&data.occasion.codes, data.occasion.levels.len());
    if by_block {
        for column in data.block_by_occasion() {
            space.add(column);
        }
    }
    space
}

/// Residual sum of squares of a response; none below its rounding.
fn residual_squares(space: &Projection, response: &Array1<f64>) -> f64 {
    let left = space.residual(response.clone());
    let squares = left.dot(&left);
    if squares > ROUNDING * response.dot(response) {
        squares
    } else {
        0.0
    }
}

/// F of what `full` explains beyond `part`, and both degrees of freedom; `None` where nothing is left to
/// test it against. Infinite where nothing scatters, 0 where nothing differs either.
pub(super) fn f_ratio(
    part: &Projection,
    full: &Projection,
    response: &Array1<f64>,
) -> Option<(f64, f64, f64)> {
    let more = full.rank().saturating_sub(part.rank());
    let rest = response.len().saturating_sub(full.rank());
    if more == 0 || rest == 0 {
        return None;
    }
    let (without, with) = (
        residual_squares(part, response),
        residual_squares(full, response),
    );
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
) -> Array1<f64> {
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
