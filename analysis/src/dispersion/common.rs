//! One k for several places.

use super::FrequencyTable;
use super::negative_binomial_k::{KEstimate, by_likelihood};

/// Common k by moments, the first approximation of Bliss & Owen (1958, Biometrika 45, 37-58): the
/// slope through the origin of s^2 - m on m^2 - s^2/n is 1/k.
///
/// Samples of one unit are left out. None when fewer than two remain or the slope is not above 0 (the
/// counts are no more variable than Poisson counts).
#[must_use]
pub fn k_of_bliss_and_owen(samples: &[FrequencyTable]) -> Option<f64> {
    let usable: Vec<(f64, f64)> = samples
        .iter()
        .filter_map(|s| {
            let variance = s.variance?;
            Some((s.mean * s.mean - variance / s.n as f64, variance - s.mean))
        })
        .collect();
    let across: f64 = usable.iter().map(|(x, y)| x * y).sum();
    let squares: f64 = usable.iter().map(|(x, _)| x * x).sum();
    (usable.len() > 1 && across > 0.0).then(|| squares / across)
}

/// Common k by maximum likelihood, every sample with its own mean; see
/// [`by_likelihood`].
#[must_use]
pub fn common_k(samples: &[FrequencyTable], level: f64) -> Option<KEstimate> {
    by_likelihood(samples, level)
}
