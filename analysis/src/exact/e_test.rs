//! The unconditional test of two Poisson rates.

use statrs::function::gamma::{gamma_lr, gamma_ur};

use super::poisson::refuse;
use crate::Error;
use crate::distributions::negative_binomial::ln_pmf;

/// Two-sided p of the E-test of equal rates (Krishnamoorthy & Thomson 2004, J. Stat. Plan. Inf. 119, 23-35).
///
/// The difference of the rates over its standard error is referred to its law at the pooled estimate
/// of the rate. More powerful than the conditional test, at the price that the level holds only
/// closely. Without any animal counted p is 1.
///
/// # Errors
/// As [`compare_poisson`](super::compare_poisson).
pub fn e_test(counts: [u64; 2], area: [f64; 2]) -> Result<f64, Error> {
    refuse(counts, area, 1.0, 0.5)?;
    let total = counts[0] + counts[1];
    if total == 0 {
        return Ok(1.0);
    }
    let rate = total as f64 / (area[0] + area[1]);
    let means = [rate * area[0], rate * area[1]];
    let observed = statistic(counts, area).abs();
    // Ties by rounding count: the statistic is good to about 1e-15 of its size.
    let threshold = observed * (1.0 - 1e-12);
    if threshold == 0.0 {
        return Ok(1.0);
    }
    let mut p = 0.0;
    // Ten standard deviations and ten counts beyond the mean leave less than 1e-20.
    let reach = 10.0 * means[0].sqrt() + 10.0;
    for first in whole(means[0] - reach)..=whole(means[0] + reach) {
        let beyond = {
            let far = |second: u64| statistic([first, second], area);
            // The statistic falls in the second count: low counts lie far above, high ones far below.
            let above = first_where(|second| far(second) < threshold);
            let below = first_where(|second| far(second) <= -threshold);
            at_least_below(above, means[1]) + at_least(below, means[1])
        };
        p += ln_pmf(first, means[0], f64::INFINITY).exp() * beyond;
    }
    Ok(p.min(1.0))
}

/// Difference of the rates over its standard error; 0 without counts.
fn statistic(counts: [u64; 2], area: [f64; 2]) -> f64 {
    let [x, y] = [counts[0] as f64, counts[1] as f64];
    let variance = x / (area[0] * area[0]) + y / (area[1] * area[1]);
    if variance == 0.0 {
        return 0.0;
    }
    (x / area[0] - y / area[1]) / variance.sqrt()
}

/// Smallest count for which `test`, false below and true above, holds.
fn first_where(test: impl Fn(u64) -> bool) -> u64 {
    let mut high = 1;
    // 2^62 is beyond any count; a test that never holds ends there, where no mass is left.
    while !test(high) && high < 1 << 62 {
        high *= 2;
    }
    let mut low = 0;
    while low < high {
        let middle = low + (high - low) / 2;
        if test(middle) {
            high = middle;
        } else {
            low = middle + 1;
        }
    }
    low
}

/// P(count >= bound).
fn at_least(bound: u64, mean: f64) -> f64 {
    if bound == 0 {
        1.0
    } else {
        gamma_lr(bound as f64, mean)
    }
}

/// P(count < bound).
fn at_least_below(bound: u64, mean: f64) -> f64 {
    if bound == 0 {
        0.0
    } else {
        gamma_ur(bound as f64, mean)
    }
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a count from 0 to some 10^8"
)]
fn whole(x: f64) -> u64 {
    x.max(0.0) as u64
}
