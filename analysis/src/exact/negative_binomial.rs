//! Two groups of overdispersed counts, given their total.

use serde::Serialize;

use super::two_sided::minimum_likelihood_p;
use crate::Error;
use crate::distributions::negative_binomial::ln_rising_factorial;
use crate::numerics::special::ln_factorial;
use crate::results::Caution;

/// A conditional comparison of two groups of negative binomial counts.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct NegativeBinomialComparison {
    /// First mean over second; none when both totals are 0, infinite when only the second is.
    pub ratio: Option<f64>,
    /// Two-sided p: splits of the total no likelier than the observed one.
    pub p: f64,
    /// The same with half of the observed split's mass.
    pub p_mid: f64,
    /// Chance of a first total this small or smaller.
    pub p_less: f64,
    /// Chance of a first total this large or larger.
    pub p_greater: f64,
    /// What the reader must know.
    pub cautions: Vec<Caution>,
}

/// Compares the `totals` of two groups of `units` negative binomial counts each with the same `k`
/// (infinite: Poisson), all units of one area.
///
/// Where the means are equal, the split of the sum follows a negative hypergeometric
/// (beta-binomial) law with parameters k times the numbers of units, free of the mean (Johnson, Kemp
/// & Kotz 2005, "Univariate Discrete Distributions", 3rd ed., sections 5.8 and 6.2). Exact when k is known;
/// with `k_estimated` from the same counts the level holds only about, which a caution says. There
/// is no interval: away from equality the law depends on the means.
///
/// # Errors
/// When a group has no unit, `k` is not above 0, or the totals add up to more than 10^8.
pub fn compare_negative_binomial(
    totals: [u64; 2],
    units: [u64; 2],
    k: f64,
    k_estimated: bool,
) -> Result<NegativeBinomialComparison, Error> {
    if units.contains(&0) || k.is_nan() || k <= 0.0 {
        return Err(Error::new(
            "groups to compare",
            format!("{} and {} units, k {k}", units[0], units[1]),
            "each group needs a unit and k must be above 0",
            "give the number of plots or samples behind each total",
        ));
    }
    super::poisson::refuse(totals, [1.0, 1.0], 1.0, 0.5)?;
    let sum = totals[0] + totals[1];
    let shape = [k * units[0] as f64, k * units[1] as f64];
    let share = units[0] as f64 / (units[0] + units[1]) as f64;
    let whole = ln_factorial(sum) - ln_rising(sum, shape[0] + shape[1]);
    let mass: Vec<f64> = (0..=sum)
        .map(|s| {
            let rest = sum - s;
            whole + ln_rising(s, shape[0]) - ln_factorial(s) + ln_rising(rest, shape[1])
                - ln_factorial(rest)
                + s as f64 * share.ln()
                + rest as f64 * (-share).ln_1p()
        })
        .collect();
    let observed = usize::try_from(totals[0]).unwrap_or(0);
    let (p, p_mid) = minimum_likelihood_p(&mass, observed);
    let add = |part: &[f64]| part.iter().map(|m| m.exp()).sum::<f64>().min(1.0);
    let mut cautions = Vec::new();
    if k_estimated {
        cautions.push(Caution::new(
            "k-estimated",
            "k was estimated from the same counts: this p-value is close, not exact.",
        ));
    }
    Ok(NegativeBinomialComparison {
        ratio: (sum > 0)
            .then(|| (totals[0] as f64 / units[0] as f64) / (totals[1] as f64 / units[1] as f64)),
        p,
        p_mid,
        p_less: add(&mass[..=observed]),
        p_greater: add(&mass[observed..]),
        cautions,
    })
}

/// log of the product of (1 + j / shape) for j < count: 0 in the Poisson limit.
fn ln_rising(count: u64, shape: f64) -> f64 {
    if shape.is_infinite() {
        0.0
    } else {
        ln_rising_factorial(count, shape)
    }
}
