//! Exact limits for one Poisson count.

use crate::distributions::chi_squared_quantile;
use crate::results::Interval;

/// Central limits for the mean of a Poisson law from one `count`, of confidence at least `level` (F. Garwood
/// 1936, Biometrika 28, 437-442): divide by the area for a rate.
///
/// ```
/// let limits = halfgreen_analysis::exact::poisson_limits(0, 0.95);
/// assert_eq!(limits.low, 0.0);
/// assert!((limits.high - 3.6889).abs() < 1e-4);
/// ```
#[must_use]
pub fn poisson_limits(count: u64, level: f64) -> Interval {
    let tail = 0.5 * (1.0 - level);
    let twice = 2.0 * count as f64;
    Interval {
        low: if count == 0 {
            0.0
        } else {
            0.5 * chi_squared_quantile(tail, twice)
        },
        high: 0.5 * chi_squared_quantile(1.0 - tail, twice + 2.0),
        level,
    }
}
