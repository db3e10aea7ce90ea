//! Exact limits for a share.

use statrs::function::beta::inv_beta_reg;

use crate::answers::Interval;

/// Central limits for a share from `found` out of `of`, of confidence at least `level` (Clopper & Pearson 1934,
/// Biometrika 26:404-413); from 0 to 1 when there is nothing to share.
///
/// ```
/// let limits = halfgreen_analysis::exact::binomial_limits(0, 10, 0.95);
/// assert!((limits.high - 0.30850).abs() < 1e-5);
/// ```
#[must_use]
pub fn binomial_limits(found: u64, of: u64, level: f64) -> Interval {
    let tail = 0.5 * (1.0 - level);
    let found = found.min(of);
    let (x, y) = (found as f64, (of - found) as f64);
    Interval {
        low: if found == 0 {
            0.0
        } else {
            inv_beta_reg(x, y + 1.0, tail)
        },
        high: if found == of {
            1.0
        } else {
            inv_beta_reg(x + 1.0, y, 1.0 - tail)
        },
        level,
    }
}
