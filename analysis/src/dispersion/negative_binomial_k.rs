//! The negative binomial's k: the smaller, the more overdispersed; infinite for Poisson counts.

use serde::Serialize;

use super::FrequencyTable;
use crate::distributions::chi_squared_quantile;
use crate::distributions::negative_binomial::ln_pmf;
use crate::numerics::roots::brent;
use crate::numerics::special::{digamma, trigamma};
use crate::results::{Caution, Interval};

/// k with its precision. Where the counts are no more variable than Poisson counts, `k` and `se` are
/// none (the best k is infinite) and the interval reaches to infinity.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct KEstimate {
    /// k by maximum likelihood; none at the Poisson limit.
    pub k: Option<f64>,
    /// Its standard error from the observed information.
    pub se: Option<f64>,
    /// Profile-likelihood interval: all k that a likelihood-ratio test does not reject.
    pub interval: Interval,
    /// Log-likelihood at the best k.
    pub ln_likelihood: f64,
    /// What the reader must know.
    pub cautions: Vec<Caution>,
}

/// Smallest and largest k that are searched; at 1e-8 a unit in 10^8 is occupied, at 1e10 times the
/// mean the law differs from Poisson by less than 1e-10 in any probability.
const SMALLEST: f64 = 1e-8;
const LARGEST: f64 = 1e10;

/// k by moments, m^2 / (s^2 - m). None when s^2 <= m, all counts are 0, or there is one unit.
#[must_use]
pub fn by_moments(tally: &FrequencyTable) -> Option<f64> {
    let excess = tally.variance? - tally.mean;
    (excess > 0.0).then(|| tally.mean * tally.mean / excess)
}

/// Large-sample standard error of k by moments: sqrt(2 k (k + 1) / n) (m + k) / m (Anscombe 1950, Biometrika 37:358-382). None
/// where that k is none.
#[must_use]
pub fn by_moments_se(tally: &FrequencyTable) -> Option<f64> {
    let k = by_moments(tally)?;
    Some((2.0 * k * (k + 1.0) / tally.n as f64).sqrt() * (tally.mean + k) / tally.mean)
}

/// Log-likelihood of one sample as Poisson counts at its own mean; none when no animal was counted.
#[must_use]
pub fn poisson_ln_likelihood(tally: &FrequencyTable) -> Option<f64> {
    (tally.total > 0).then(|| ln_likelihood(tally, f64::INFINITY))
}

/// k by maximum likelihood from one sample, or one k for several samples with means of their own.
///
/// The means' estimates are the sample means for every k, so that only k is searched: the root of
/// sum A(x) / (k + x) = sum n log(1 + m/k), A(x) being the number of units with more than x (Bliss &
/// Fisher 1953, Biometrics 9, 176-200). The root is finite just when the variance with divisor n
/// exceeds the mean (Levin & Reeds 1977, Ann. Statist. 5, 79-87). `level` is the confidence of the interval.
/// None when no animal was counted.
#[must_use]
pub fn by_likelihood(samples: &[FrequencyTable], level: f64) -> Option<KEstimate> {
    let samples: Vec<&FrequencyTable> = samples.iter().filter(|s| s.total > 0).collect();
    let mean = samples.iter().fold(0.0_f64, |most, s| most.max(s.mean));
    if mean == 0.0 {
        return None;
    }
    let (low, high) = (SMALLEST.ln(), (LARGEST * mean.max(1.0)).ln());
    let score = |ln_k: f64| samples.iter().map(|s| slope(s, ln_k.exp())).sum::<f64>();
    let excess: f64 = samples
        .iter()
        .map(|s| s.pairs() - s.n as f64 * s.mean * s.mean)
        .sum();
    let k = (excess > 0.0)
        .then(|| brent(score, low, high, 1e-13))
        .flatten()
        .map(|root| root.x.exp());
    let ln_likelihood = |k: f64| samples.iter().map(|s| ln_likelihood(s, k)).sum::<f64>();
    let best = k.unwrap_or(f64::INFINITY);
    let top = ln_likelihood(best);
    let drop = 0.5 * chi_squared_quantile(level, 1.0);
    let above = |ln_k: f64| ln_likelihood(ln_k.exp()) - top + drop;
    let start = best.ln().min(high);
    let lower = brent(above, low, start, 1e-10).map_or(0.0, |root| root.x.exp());
    let upper = if k.is_none() || ln_likelihood(f64::INFINITY) - top + drop >= 0.0 {
        f64::INFINITY
    } else {
        brent(above, start, high, 1e-10).map_or(f64::INFINITY, |root| root.x.exp())
    };
    let se = k.and_then(|k| {
        let information: f64 = samples.iter().map(|s| curvature(s, k)).sum();
        (information > 0.0).then(|| information.sqrt().recip())
    });
    Some(KEstimate {
        k,
        se,
        interval: Interval {
            low: lower,
            high: upper,
            level,
        },
        ln_likelihood: top,
        cautions: cautions(k, upper),
    })
}

fn cautions(k: Option<f64>, upper: f64) -> Vec<Caution> {
    let mut cautions = Vec::new();
    if k.is_none() {
        cautions.push(Caution::new(
            "k-at-poisson-limit",
            "The counts vary no more than chance alone would make them: no clumping shows, and k has no finite value.",
        ));
    } else if upper.is_infinite() {
        cautions.push(Caution::new(
            "k-not-bounded-above",
            "The counts look clumped, but unclumped (Poisson) counts cannot be ruled out.",
        ));
    }
    cautions
}

/// Log-likelihood of one sample at its own mean.
fn ln_likelihood(sample: &FrequencyTable, k: f64) -> f64 {
    sample
        .values
        .iter()
        .map(|&(count, units)| units as f64 * ln_pmf(count, sample.mean, k))
        .sum()
}

/// Counts below this are summed one by one; above, differences of log-gamma derivatives take over so
/// that counts of a million stay quick.
const SUMMED: u64 = 20_000;

/// Derivative of the log-likelihood by k.
fn slope(sample: &FrequencyTable, k: f64) -> f64 {
    rising(sample, k, f64::recip, digamma_step) - sample.n as f64 * (sample.mean / k).ln_1p()
}

/// Minus the second derivative.
fn curvature(sample: &FrequencyTable, k: f64) -> f64 {
    rising(
        sample,
        k,
        |x| (x * x).recip(),
        |x, step| trigamma(x) - trigamma(x + step),
    ) - sample.n as f64 * sample.mean / (k * (k + sample.mean))
}

/// Sum over the units of sum over j < count of `term(k + j)`; `stride(x, d)` is the sum of d terms
/// from `term(x)` on.
fn rising(
    sample: &FrequencyTable,
    k: f64,
    term: impl Fn(f64) -> f64,
    stride: impl Fn(f64, f64) -> f64,
) -> f64 {
    let (mut sum, mut reached, mut so_far) = (0.0, 0, 0.0);
    for &(count, units) in &sample.values {
        if count <= SUMMED {
            so_far += (reached..count).map(|j| term(k + j as f64)).sum::<f64>();
        } else {
            so_far += stride(k + reached as f64, (count - reached) as f64);
        }
        reached = count;
        sum += units as f64 * so_far;
    }
    sum
}

/// digamma(x + step) - digamma(x), exact near the Poisson limit where both are large and close.
fn digamma_step(x: f64, step: f64) -> f64 {
    if x < 1e3 {
        return digamma(x + step) - digamma(x);
    }
    // Stirling's series; its next term is below 1 / (120 * 1e3^4) = 1e-14.
    let end = x + step;
    (step / x).ln_1p() + step / (2.0 * x * end) + (x.powi(-2) - end.powi(-2)) / 12.0
}
