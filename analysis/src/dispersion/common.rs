//! One k for several places.

use serde::Serialize;

use super::FrequencyTable;
use super::negative_binomial_k::{KEstimate, by_likelihood};
use crate::distributions::chi_squared_sf;

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

/// A test that several places share one k.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct CommonKTest {
    /// Twice the log-likelihood that a k for each place gains over one for all.
    pub chi2: f64,
    /// Places compared, less one.
    pub df: usize,
    /// Upper tail of chi-squared; too large where places scatter no more than Poisson counts, whose k lies at
    /// the edge of what it can be.
    pub p: f64,
}

/// Likelihood-ratio test of one k for several samples, every sample with its own mean. Samples of one unit and
/// samples where nothing was counted say nothing of k and are left out. None when fewer than two remain.
#[must_use]
pub fn common_k_test(samples: &[FrequencyTable]) -> Option<CommonKTest> {
    let usable: Vec<FrequencyTable> = samples
        .iter()
        .filter(|s| s.n > 1 && s.total > 0)
        .cloned()
        .collect();
    let ln_likelihood = |of: &[FrequencyTable]| Some(by_likelihood(of, 0.95)?.ln_likelihood);
    let together = ln_likelihood(&usable)?;
    let apart: Option<f64> = usable.chunks(1).map(ln_likelihood).sum();
    let df = usable.len() - 1;
    if df == 0 {
        return None;
    }
    let chi2 = (2.0 * (apart? - together)).max(0.0);
    Some(CommonKTest {
        chi2,
        df,
        p: chi_squared_sf(chi2, df as f64),
    })
}
