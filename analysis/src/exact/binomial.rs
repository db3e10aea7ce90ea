//! Exact limits for a share.

use statrs::function::beta::inv_beta_reg;

use crate::distributions::t_quantile;
use crate::results::Interval;

/// Central limits for a share from `found` out of `of`, of confidence at least `level` (Clopper & Pearson 1934,
/// Biometrika 26:404-413); from 0 to 1 when there is nothing to share.
///
/// ```
/// let limits = halfgreen_analysis::exact::binomial_limits(0, 10, 0.95);
/// assert!((limits.high - 0.30850).abs() < 1e-5);
/// ```
#[must_use]
pub fn binomial_limits(found: u64, of: u64, level: f64) -> Interval {
    let found = found.min(of);
    limits(found as f64, (of - found) as f64, level)
}

/// Limits for a share of animals that were found in `plots`, as (with the property, of all found): the plot is
/// the unit, since animals of one plot are alike. From 0 to 1 when nothing was found, or all in one plot.
///
/// The variance is that of a ratio of plot totals; the exact limits above are taken at the number of independent
/// animals that would vary as much, drawn in for the few degrees of freedom that plots leave, and never at more
/// than were found (Korn & Graubard 1998, Survey Methodology 24:193-201). Where all or none have the property
/// plots cannot vary, and every plot counts as one animal.
///
/// ```
/// use halfgreen_analysis::exact::{binomial_limits, clustered_limits};
/// // One plot holds all that had gone on: eight plots tell less than 48 animals would.
/// let plots = [(6, 6), (0, 6), (0, 6), (0, 6), (0, 6), (0, 6), (0, 6), (0, 6)];
/// let (clustered, alone) = (clustered_limits(&plots, 0.95), binomial_limits(6, 48, 0.95));
/// assert!(clustered.low < alone.low && clustered.high > alone.high);
/// ```
#[must_use]
pub fn clustered_limits(plots: &[(u64, u64)], level: f64) -> Interval {
    let held: Vec<(f64, f64)> = plots
        .iter()
        .filter(|p| p.1 > 0)
        .map(|p| (p.0.min(p.1) as f64, p.1 as f64))
        .collect();
    let number = held.len() as f64;
    if held.len() < 2 {
        return Interval {
            low: 0.0,
            high: 1.0,
            level,
        };
    }
    let (found, of) = held.iter().fold((0.0, 0.0), |(x, n), p| (x + p.0, n + p.1));
    let share = found / of;
    if found == 0.0 || found >= of {
        return limits(share * number, (1.0 - share) * number, level);
    }
    let squares: f64 = held.iter().map(|p| (p.0 - share * p.1).powi(2)).sum();
    let variance = number / (number - 1.0) * squares / (of * of);
    let quantile = |df: f64| t_quantile(0.5 + 0.5 * level, df);
    let drawn_in = (quantile((of - 1.0).max(1.0)) / quantile(number - 1.0)).powi(2);
    // Plots that agree better than chance are no reason to claim more animals than there were.
    let independent = (share * (1.0 - share) / variance * drawn_in).min(of);
    limits(share * independent, (1.0 - share) * independent, level)
}

/// Clopper and Pearson's limits for `x` with and `y` without the property, whole numbers or not.
fn limits(x: f64, y: f64, level: f64) -> Interval {
    let tail = 0.5 * (1.0 - level);
    Interval {
        low: if x <= 0.0 {
            0.0
        } else {
            inv_beta_reg(x, y + 1.0, tail)
        },
        high: if y <= 0.0 {
            1.0
        } else {
            inv_beta_reg(x + 1.0, y, 1.0 - tail)
        },
        level,
    }
}
