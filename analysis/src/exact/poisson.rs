//! Two Poisson totals.

use serde::Serialize;
use statrs::function::beta::inv_beta_reg;

use super::two_sided::minimum_likelihood_p;
use crate::Error;
use crate::distributions::normal_sf;
use crate::numerics::special::ln_factorial;
use crate::results::Interval;

/// A comparison of two rates.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PoissonComparison {
    /// First rate over second; none when both counts are 0, infinite when only the second is.
    pub ratio: Option<f64>,
    /// Exact conditional p, two-sided: outcomes no likelier than the observed one.
    pub p: f64,
    /// The same with half of the observed outcome's mass: closer to its level on average, not exact.
    pub p_mid: f64,
    /// Chance of a first count this large or larger.
    pub p_greater: f64,
    /// Chance of a first count this small or smaller.
    pub p_less: f64,
    /// Exact interval for the ratio, central (each tail apart); from 0 to infinity without any count.
    pub interval: Interval,
    /// Score statistic of ratio = `null`, about normal for large counts.
    pub score: f64,
    /// Its two-sided p.
    pub p_score: f64,
}

/// Compares two Poisson counts from areas `area` (any one unit) with a ratio of rates of `null`.
///
/// Given their sum, the first count is binomial whatever the rates are (Przyborowski & Wilenski 1940,
/// Biometrika 31, 313-323); its Clopper-Pearson limits give those of the ratio. Score test after Gu, Ng, Tang &
/// Schucany 2008, Biometrical J. 50, 283-298. Without any animal counted all p are 1 and the score 0.
///
/// # Errors
/// When an area or `null` is not above 0 and finite, `level` is not between 0 and 1, or the counts add
/// up to more than 10^8.
pub fn compare_poisson(
    counts: [u64; 2],
    area: [f64; 2],
    null: f64,
    level: f64,
) -> Result<PoissonComparison, Error> {
    refuse(counts, area, null, level)?;
    let [first, second] = counts;
    let total = first + second;
    let (x, y, n) = (first as f64, second as f64, total as f64);
    let share = null * area[0] / (null * area[0] + area[1]);
    let mass: Vec<f64> = (0..=total).map(|s| ln_binomial(s, total, share)).collect();
    let observed = usize::try_from(first).unwrap_or(0);
    let (p, p_mid) = minimum_likelihood_p(&mass, observed);
    let sum = |part: &[f64]| part.iter().map(|m| m.exp()).sum::<f64>().min(1.0);
    let tail = 0.5 * (1.0 - level);
    // Odds of the share, rescaled to a ratio of rates.
    let ratio = |share: f64| share / (1.0 - share) * area[1] / area[0];
    let low = if first == 0 {
        0.0
    } else {
        inv_beta_reg(x, y + 1.0, tail)
    };
    let high = if second == 0 {
        1.0
    } else {
        inv_beta_reg(x + 1.0, y, 1.0 - tail)
    };
    let scale = (n * null * area[0] / area[1]).sqrt();
    let score = if total == 0 {
        0.0
    } else {
        (x - y * null * area[0] / area[1]) / scale
    };
    Ok(PoissonComparison {
        ratio: (total > 0).then(|| x / y * area[1] / area[0]),
        p,
        p_mid,
        p_greater: sum(&mass[observed..]),
        p_less: sum(&mass[..=observed]),
        interval: Interval {
            low: ratio(low),
            high: ratio(high),
            level,
        },
        score,
        p_score: (2.0 * normal_sf(score.abs())).min(1.0),
    })
}

/// log of the binomial mass at `s` out of `n`.
fn ln_binomial(s: u64, n: u64, share: f64) -> f64 {
    let term = |count: u64, p: f64| if count == 0 { 0.0 } else { count as f64 * p };
    ln_factorial(n) - ln_factorial(s) - ln_factorial(n - s)
        + term(s, share.ln())
        + term(n - s, (-share).ln_1p())
}

/// Refuses rates that are not defined and totals too large to count through.
pub(super) fn refuse(counts: [u64; 2], area: [f64; 2], null: f64, level: f64) -> Result<(), Error> {
    let positive = |x: f64| x > 0.0 && x.is_finite();
    if !positive(area[0]) || !positive(area[1]) || !positive(null) {
        return Err(Error::new(
            "areas and ratio",
            format!("areas {} and {}, ratio {null}", area[0], area[1]),
            "each must be above 0 and finite",
            "give the area counted, or the number of samples, for both",
        ));
    }
    if !(level > 0.0 && level < 1.0) {
        return Err(Error::new(
            "confidence level",
            level.to_string(),
            "it must lie between 0 and 1",
            "use 0.95 unless the protocol says otherwise",
        ));
    }
    // Every outcome is held in memory: 8 bytes each.
    if counts.iter().any(|&c| c > 100_000_000) || counts[0] + counts[1] > 100_000_000 {
        return Err(Error::new(
            "counts",
            format!("{} and {}", counts[0], counts[1]),
            "exact methods go through every outcome, up to 10^8 in all",
            "use a model for counts this large",
        ));
    }
    Ok(())
}
