//! Randomised quantile residuals, and whether they look normal.

use serde::Serialize;

use crate::distributions::{self, negative_binomial};
use crate::random::Generator;

/// Chances below a count, and up to and including it, under a mean and 1/k (0 for Poisson).
#[must_use]
pub fn quantile_limits(count: u64, mean: f64, inverse_k: f64) -> (f64, f64) {
    let k = 1.0 / inverse_k;
    let below = match count.checked_sub(1) {
        Some(less) => negative_binomial::cdf(less, mean, k),
        None => 0.0,
    };
    (below, negative_binomial::cdf(count, mean, k))
}

/// One residual for each plot, standard normal if the model holds (Dunn & Smyth 1996, Journal of
/// Computational and Graphical Statistics 5:236-244): a uniform draw between the chance of fewer and
/// the chance of as many or fewer than were counted, put on the normal scale.
///
/// Held within 8.2 either way: beyond it a probability rounds to 0 or 1.
#[must_use]
pub fn quantile_residuals(
    counts: &[u64],
    means: &[f64],
    inverse_k: f64,
    generator: &mut Generator,
) -> Vec<f64> {
    // The last number below 1 is 1 - 2^-53.
    let least = 0.5 * f64::EPSILON;
    counts
        .iter()
        .zip(means)
        .map(|(&count, &mean)| {
            let (low, high) = quantile_limits(count, mean, inverse_k);
            let place = low + (high - low) * generator.unit();
            distributions::normal_quantile(place.clamp(least, 1.0 - least))
        })
        .collect()
}

/// How normal a sample looks.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Normality {
    /// Mean.
    pub mean: f64,
    /// Standard deviation, divisor n - 1.
    pub sd: f64,
    /// Squared correlation of the ordered values with normal scores: 1 for a straight line.
    pub w: f64,
    /// Chance of a smaller one from independent normal values (n from 5 to 5000).
    pub p: Option<f64>,
}

/// What a standard normal sample of that size would hold at the rank of each value, in their order: Blom's approximation (1958,
/// "Statistical Estimates and Transformed Beta-Variables"), the normal quantile of (rank - 3/8) / (n + 1/4). Of equal values the first has
/// the lower rank.
#[must_use]
pub fn normal_scores(values: &[f64]) -> Vec<f64> {
    let mut order: Vec<usize> = (0..values.len()).collect();
    order.sort_by(|&a, &b| values[a].total_cmp(&values[b]));
    let mut scores = vec![0.0; values.len()];
    for (rank, &at) in order.iter().enumerate() {
        let share = (rank as f64 + 0.625) / (values.len() as f64 + 0.25);
        scores[at] = distributions::normal_quantile(share);
    }
    scores
}

/// Shapiro & Francia's W' (1972, JASA 67:215-216) with Blom's scores; p by Royston's approximation
/// (1993, Statistics and Computing 2:117-119). `None` for fewer than 3 values or values all alike.
#[must_use]
pub fn normality(values: &[f64]) -> Option<Normality> {
    let n = values.len() as f64;
    if values.len() < 3 {
        return None;
    }
    let mean = values.iter().sum::<f64>() / n;
    let squares: f64 = values.iter().map(|v| (v - mean).powi(2)).sum();
    if squares <= 0.0 {
        return None;
    }
    let (mut scored, mut score_squares) = (0.0, 0.0);
    for (value, score) in values.iter().zip(normal_scores(values)) {
        scored += score * (value - mean);
        score_squares += score * score;
    }
    let w = (scored * scored / (squares * score_squares)).min(1.0);
    let p = (5.0..=5000.0).contains(&n).then(|| {
        let (u, v) = (n.ln(), n.ln().ln());
        let centre = -1.2725 + 1.0521 * (v - u);
        let spread = 1.0308 - 0.26758 * (v + 2.0 / u);
        distributions::normal_sf(((-w).ln_1p() - centre) / spread)
    });
    Some(Normality {
        mean,
        sd: (squares / (n - 1.0)).sqrt(),
        w,
        p,
    })
}
