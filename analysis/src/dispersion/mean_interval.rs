//! The mean of counts that clump, with its interval.

use super::FrequencyTable;
use super::negative_binomial_k::{by_likelihood, by_moments};
use crate::distributions::{chi_squared_quantile, normal_quantile, t_quantile};
use crate::results::Interval;

/// Confidence interval of the mean count a unit, from units counted independently; a single unit sets no upper limit.
///
/// **Method.** Student's t on the log scale with n - 1 degrees of freedom; the variance of the log mean is that of the negative
/// binomial, (1 / m + 1 / k) / n (delta method). 1 / k is the larger of its estimate by moments and n / (n - 1) times that by maximum
/// likelihood: the latter is too small in few units. No interval is shorter than the exact one of a Poisson total (Garwood 1936,
/// Biometrika 28:437-442). Where nothing was found the upper limit is t^2 / n, at which the score test of Poisson counts would
/// reject with that t. Coverage by simulation, beside two other intervals: `tests/dispersion/mean_interval.md`.
#[must_use]
pub fn mean_interval(table: &FrequencyTable, level: f64) -> Interval {
    let n = table.n as f64;
    let exact = poisson_total(table.total, level);
    let (exact_low, exact_high) = (exact.0 / n, exact.1 / n);
    if table.n < 2 {
        return Interval {
            low: 0.0,
            high: f64::INFINITY,
            level,
        };
    }
    let likely = by_likelihood(std::slice::from_ref(table), level).and_then(|fit| fit.k);
    let likely = likely.map_or(0.0, |k| n / (n - 1.0) / k);
    let inverse_k = likely.max(by_moments(table).map_or(0.0, f64::recip));
    let t = t_quantile(0.5 + 0.5 * level, n - 1.0);
    let (low, high) = if table.total == 0 {
        (0.0, t * t / n)
    } else {
        log_limits(table.mean, inverse_k, n, t)
    };
    Interval {
        low: low.min(exact_low),
        high: high.max(exact_high),
        level,
    }
}

/// The same from a total of `n` units alone, for a k that is known from elsewhere (infinite for Poisson counts): a
/// total tells nothing of how its units clump. The normal quantile takes the place of Student's; for a total of 0 the upper
/// limit is the mean at which nothing is found with the chance of one tail, (1 + m / k)^(-n k).
#[must_use]
pub fn mean_interval_known_k(total: u64, n: u64, k: f64, level: f64) -> Interval {
    let (units, tail) = (n.max(1) as f64, 0.5 - 0.5 * level);
    let exact = poisson_total(total, level);
    let inverse_k = k.recip();
    let none = if inverse_k > 0.0 {
        // Infinite where not even every animal there is would be found.
        k * (tail.powf(-inverse_k / units) - 1.0)
    } else {
        -tail.ln() / units
    };
    let (low, high) = if total == 0 {
        (0.0, none)
    } else {
        log_limits(
            total as f64 / units,
            inverse_k,
            units,
            normal_quantile(1.0 - tail),
        )
    };
    Interval {
        low: low.min(exact.0 / units),
        high: high.max(exact.1 / units),
        level,
    }
}

/// Limits of a mean `q` standard errors away on the log scale.
fn log_limits(found: f64, inverse_k: f64, n: f64, q: f64) -> (f64, f64) {
    let reach = q * ((1.0 / found + inverse_k) / n).sqrt();
    (found * (-reach).exp(), found * reach.exp())
}

/// Exact limits of the expectation of a Poisson total.
fn poisson_total(total: u64, level: f64) -> (f64, f64) {
    let (total, tail) = (total as f64, 0.5 - 0.5 * level);
    let low = if total > 0.0 {
        0.5 * chi_squared_quantile(tail, 2.0 * total)
    } else {
        0.0
    };
    (
        low,
        0.5 * chi_squared_quantile(1.0 - tail, 2.0 * total + 2.0),
    )
}
