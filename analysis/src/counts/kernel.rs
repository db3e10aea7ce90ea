//! The log-likelihood of one count and its derivatives, for every k from tiny to infinite.
//!
//! Written in a = 1/k, so that the Poisson law is the plain point a = 0.

use std::array::from_fn;

use crate::distributions::negative_binomial::ln_rising_factorial;
use crate::numerics::special::{digamma, ln_factorial, trigamma};

/// Value and derivatives of log P(y) at linear predictor eta = log(mean) and a = 1/k.
#[derive(Debug, Clone, Copy, Default)]
pub(crate) struct Terms {
    /// Without the parts that depend on y and a alone (see [`Kernel`]).
    pub value: f64,
    /// d/d eta.
    pub eta: f64,
    /// -d2/d eta2, always positive: the log-likelihood is concave in eta.
    pub weight: f64,
    /// d/da, without the part of y and a alone.
    pub a: f64,
    /// d2/da2, without the part of y and a alone.
    pub a_a: f64,
    /// d2/(da d eta).
    pub eta_a: f64,
}

/// Terms of one count: `y` the count, `eta` = log(`mean`), `a` = 1/k.
#[inline]
pub(crate) fn terms(y: f64, eta: f64, mean: f64, a: f64) -> Terms {
    let t = terms_abreast(y, [eta], [mean], a);
    Terms {
        value: t.value[0],
        eta: t.eta[0],
        weight: t.weight[0],
        a: t.a[0],
        a_a: t.a_a[0],
        eta_a: t.eta_a[0],
    }
}

/// The fields of [`Terms`] at several means.
#[derive(Debug, Clone, Copy)]
pub(crate) struct TermsAbreast<const N: usize> {
    pub value: [f64; N],
    pub eta: [f64; N],
    pub weight: [f64; N],
    pub a: [f64; N],
    pub a_a: [f64; N],
    pub eta_a: [f64; N],
}

/// As [`terms`] at several means of the same count, worked out side by side, as processors can.
#[inline]
pub(crate) fn terms_abreast<const N: usize>(
    y: f64,
    eta: [f64; N],
    mean: [f64; N],
    a: f64,
) -> TermsAbreast<N> {
    let x = mean.map(|m| a * m);
    let share = x.map(|x| 1.0 / (1.0 + x));
    let Logs {
        log,
        per_x,
        b,
        slope,
    } = logs(x, share);
    let residual: [f64; N] = from_fn(|i| (y - mean[i]) * share[i]);
    let bend = 1.0 + a * y;
    TermsAbreast {
        // (y + k) log(1 + mean/k), with k log(1 + x) = mean * log(1 + x) / x.
        value: from_fn(|i| y * (eta[i] - log[i]) - mean[i] * per_x[i]),
        eta: residual,
        weight: from_fn(|i| mean[i] * bend * share[i] * share[i]),
        a: from_fn(|i| mean[i] * mean[i] * b[i] - y * mean[i] * share[i]),
        a_a: from_fn(|i| mean[i] * mean[i] * (mean[i] * slope[i] + y * share[i] * share[i])),
        eta_a: from_fn(|i| -residual[i] * mean[i] * share[i]),
    }
}

/// How a term's weight moves, for laws that are themselves built on the weight.
#[derive(Debug, Clone, Copy, Default)]
pub(crate) struct Curvature {
    /// First and second derivatives of the weight in eta and a.
    pub eta: f64,
    pub a: f64,
    pub eta_eta: f64,
    pub eta_a: f64,
    pub a_a: f64,
    /// d3/(d eta da2) of log P(y).
    pub slope_a_a: f64,
}

/// Curvature of one count: `y` the count at `mean`, `weight` as in its [`Terms`], `a` = 1/k.
#[inline]
pub(crate) fn curvature(y: f64, mean: f64, weight: f64, a: f64) -> Curvature {
    let share = 1.0 / (1.0 + a * mean);
    let held = mean * share;
    let lean = 2.0 * share - 1.0;
    let by_a = held * (y * share - 2.0 * weight);
    Curvature {
        eta: weight * lean,
        a: by_a,
        eta_eta: weight * (1.0 - 6.0 * share * (1.0 - share)),
        eta_a: by_a * lean - 2.0 * weight * held * share,
        a_a: 2.0 * held * (held * (weight - y * share) - by_a),
        slope_a_a: 2.0 * (y - mean) * share * held * held,
    }
}

/// log(1 + x), log(1 + x) / x, B(x) = (log(1 + x) - x / (1 + x)) / x^2 and B'(x).
struct Logs<const N: usize> {
    log: [f64; N],
    per_x: [f64; N],
    b: [f64; N],
    slope: [f64; N],
}

/// Below this x the series is taken.
const SMALL: f64 = 0.01;

/// `share` is 1 / (1 + x). At x = 0 the values are 0, 1, 1/2 and -2/3.
#[inline]
fn logs<const N: usize>(x: [f64; N], share: [f64; N]) -> Logs<N> {
    if x.iter().all(|&x| x > SMALL) {
        return plain_logs(x, share);
    }
    let mut out = Logs {
        log: [0.0; N],
        per_x: [0.0; N],
        b: [0.0; N],
        slope: [0.0; N],
    };
    for i in 0..N {
        let one = if x[i] > SMALL {
            plain_logs([x[i]], [share[i]])
        } else {
            series(x[i], share[i])
        };
        (out.log[i], out.per_x[i]) = (one.log[0], one.per_x[0]);
        (out.b[i], out.slope[i]) = (one.b[0], one.slope[0]);
    }
    out
}

#[inline]
#[expect(
    clippy::imprecise_flops,
    reason = "where x > 0.01 the plain logarithm loses two digits of sixteen and takes half the time"
)]
fn plain_logs<const N: usize>(x: [f64; N], share: [f64; N]) -> Logs<N> {
    let log = x.map(|x| (1.0 + x).ln());
    let inverse = x.map(|x| 1.0 / x);
    let per_x: [f64; N] = from_fn(|i| log[i] * inverse[i]);
    let b: [f64; N] = from_fn(|i| (per_x[i] - share[i]) * inverse[i]);
    Logs {
        log,
        per_x,
        b,
        slope: from_fn(|i| (share[i] * share[i] - 2.0 * b[i]) * inverse[i]),
    }
}

fn series(x: f64, share: f64) -> Logs<1> {
    // B = 1/2 - 2x/3 + 3x^2/4 - ...: eight terms leave less than 0.01^8, below rounding.
    let (mut b, mut slope) = (0.0, 0.0);
    for coefficient in SERIES {
        slope = b - x * slope;
        b = coefficient - x * b;
    }
    let per_x = share + x * b;
    Logs {
        log: [x * per_x],
        per_x: [per_x],
        b: [b],
        slope: [-slope],
    }
}

/// (n - 1) / n for n = 9 down to 2.
const SERIES: [f64; 8] = [
    8.0 / 9.0,
    7.0 / 8.0,
    6.0 / 7.0,
    5.0 / 6.0,
    4.0 / 5.0,
    3.0 / 4.0,
    2.0 / 3.0,
    1.0 / 2.0,
];

/// The parts of the log-likelihood that depend on the counts and a alone, summed over all counts.
#[derive(Debug, Clone)]
pub(crate) struct Kernel {
    /// Number of counts above j, for j = 0, 1, ... up to the largest small count.
    above: Vec<f64>,
    /// Counts too large to be walked through one by one.
    large: Vec<u64>,
    /// Sum of log(y!).
    factorials: f64,
}

/// Above this, a count costs less by log-gamma than by its sum.
const WALKED: u64 = 200;

impl Kernel {
    pub(crate) fn new(counts: &[u64]) -> Self {
        let top = counts
            .iter()
            .copied()
            .filter(|&y| y <= WALKED)
            .max()
            .unwrap_or(0);
        let mut above = vec![0.0; usize::try_from(top).unwrap_or(0)];
        for &y in counts.iter().filter(|&&y| y <= WALKED) {
            for slot in above.iter_mut().take(usize::try_from(y).unwrap_or(0)) {
                *slot += 1.0;
            }
        }
        Self {
            above,
            large: counts.iter().copied().filter(|&y| y > WALKED).collect(),
            factorials: counts.iter().map(|&y| ln_factorial(y)).sum(),
        }
    }

    /// Sum over counts of log of prod_{j<y} (1 + a j), less log(y!); with its first and second
    /// derivatives in a.
    pub(crate) fn sums(&self, a: f64) -> (f64, f64, f64) {
        let (mut first, mut second) = (0.0, 0.0);
        let (mut value, mut product) = (0.0, 1.0_f64);
        for (j, &above) in self.above.iter().enumerate().skip(1) {
            let j = j as f64;
            let factor = 1.0 + a * j;
            let ratio = j / factor;
            first += above * ratio;
            second -= above * ratio * ratio;
            // Logs of many factors cost less as the log of their product, while that is safe.
            if above == 1.0 {
                product *= factor;
                if product > 1e250 {
                    value += product.ln();
                    product = 1.0;
                }
            } else {
                value += above * (a * j).ln_1p();
            }
        }
        value += product.ln();
        for &y in &self.large {
            let (v, f, s) = large_sums(y, a);
            value += v;
            first += f;
            second += s;
        }
        (value - self.factorials, first, second)
    }
}

/// As [`Kernel::sums`] for one large count, from digamma and trigamma, or by series at small a.
fn large_sums(count: u64, a: f64) -> (f64, f64, f64) {
    let y = count as f64;
    if a * y < 1e-4 {
        // log prod (1 + a j) = a S1 - a^2 S2 / 2 + a^3 S3 / 3 - ..., with S_m the sum of j^m, j < y.
        let s1 = y * (y - 1.0) / 2.0;
        let s2 = s1 * (2.0 * y - 1.0) / 3.0;
        let s3 = s1 * s1;
        return (
            a * (s1 - a * (s2 / 2.0 - a * s3 / 3.0)),
            s1 - a * (s2 - a * s3),
            -s2 + 2.0 * a * s3,
        );
    }
    let k = 1.0 / a;
    // Differences by the recurrence of digamma: sum 1/(k+j) = digamma(k+y) - digamma(k).
    let d1 = digamma(k + y) - digamma(k);
    let d2 = trigamma(k) - trigamma(k + y);
    // sum j/(1+aj) = k (y - k d1);  sum (j/(1+aj))^2 = k^2 (y - 2 k d1 + k^2 d2).
    (
        ln_rising_factorial(count, k),
        k * (y - k * d1),
        -k * k * (y - 2.0 * k * d1 + k * k * d2),
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::distributions::negative_binomial::ln_pmf;

    fn whole(counts: &[u64], means: &[f64], a: f64) -> f64 {
        let parts: f64 = counts
            .iter()
            .zip(means)
            .map(|(&y, &m)| terms(y as f64, m.ln(), m, a).value)
            .sum();
        parts + Kernel::new(counts).sums(a).0
    }

    #[test]
    fn terms_add_to_the_log_mass() {
        let counts = [0, 1, 3, 17, 250, 900_000];
        let means = [0.4, 2.0, 0.1, 30.0, 200.0, 1e6];
        for a in [0.0, 1e-9, 1e-4, 0.3, 2.0, 50.0] {
            let want: f64 = counts
                .iter()
                .zip(means)
                .map(|(&y, m)| ln_pmf(y, m, 1.0 / a))
                .sum();
            let got = whole(&counts, &means, a);
            assert!((got - want).abs() < 1e-9 * want.abs(), "{a}: {got} {want}");
        }
    }

    #[test]
    fn derivatives_agree_with_differences() {
        let counts = [0, 2, 9, 250];
        let kernel = Kernel::new(&counts);
        for a in [1e-3, 0.2, 3.0] {
            let h = a * 1e-5;
            let (_, first, second) = kernel.sums(a);
            let rough = (kernel.sums(a + h).0 - kernel.sums(a - h).0) / (2.0 * h);
            assert!(
                (first - rough).abs() < 1e-5 * first.abs(),
                "{a}: {first} {rough}"
            );
            let rough = (kernel.sums(a + h).1 - kernel.sums(a - h).1) / (2.0 * h);
            assert!(
                (second - rough).abs() < 1e-5 * second.abs(),
                "{a}: {second} {rough}"
            );
            for (y, mean) in [(0.0, 2.0_f64), (7.0, 3.0), (1.0, 1e-3)] {
                let at = |d: f64, a: f64| terms(y, mean.ln() + d, (mean.ln() + d).exp(), a);
                let t = at(0.0, a);
                let near = |got: f64, rough: f64| {
                    assert!(
                        (got - rough).abs() < 1e-5 * (1.0 + got.abs()),
                        "{a} {y}: {got} {rough}"
                    );
                };
                near(t.eta, (at(1e-5, a).value - at(-1e-5, a).value) / 2e-5);
                near(-t.weight, (at(1e-5, a).eta - at(-1e-5, a).eta) / 2e-5);
                near(
                    t.a,
                    (at(0.0, a + h).value - at(0.0, a - h).value) / (2.0 * h),
                );
                near(t.a_a, (at(0.0, a + h).a - at(0.0, a - h).a) / (2.0 * h));
                near(
                    t.eta_a,
                    (at(0.0, a + h).eta - at(0.0, a - h).eta) / (2.0 * h),
                );
                let along = |d: f64, a: f64| {
                    let t = at(d, a);
                    (t, curvature(y, mean * d.exp(), t.weight, a))
                };
                let (_, b) = along(0.0, a);
                let (more, less) = (along(1e-5, a), along(-1e-5, a));
                near(b.eta, (more.0.weight - less.0.weight) / 2e-5);
                near(b.eta_eta, (more.1.eta - less.1.eta) / 2e-5);
                let (more, less) = (along(0.0, a + h), along(0.0, a - h));
                near(b.a, (more.0.weight - less.0.weight) / (2.0 * h));
                near(b.eta_a, (more.1.eta - less.1.eta) / (2.0 * h));
                near(b.a_a, (more.1.a - less.1.a) / (2.0 * h));
                near(b.slope_a_a, (more.0.eta_a - less.0.eta_a) / (2.0 * h));
            }
        }
    }
}
