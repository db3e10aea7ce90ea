//! Counts on the scale on which their scatter no longer depends on their mean.

use std::sync::LazyLock;

use crate::arithmetic::quadrature::{self, Rule};
use crate::arithmetic::special::ln_gamma;

/// The variance-stabilising transformation of negative binomial counts with a given k:
/// arsinh(sqrt((y + 1/2) / k)) sqrt(k), which is sqrt(y + 1/2) for random (Poisson) counts and
/// runs like half the logarithm for clumped ones (Beall 1942, Biometrika 32:243-262; Anscombe 1948,
/// Biometrika 35:246-254; the half of Bartlett 1936, which keeps zeros apart from ones).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stabiliser {
    inverse_k: f64,
    root: f64,
}

/// 1/k at or below this counts as none: arsinh(x) / x differs from 1 by x^2 / 6, below the last digit
/// of a count of a million.
const NO_CLUMPING: f64 = 1e-12;

/// Counts summed one by one; beyond, the sum is an integral on the log scale.
const ONE_BY_ONE: f64 = 64.0;

/// Points of the integral: with 48 it is good to 1e-6 for every mean and k (tested against sums).
static RULE: LazyLock<Rule> = LazyLock::new(|| quadrature::legendre(48));

impl Stabiliser {
    /// For counts with this 1/k, 0 for Poisson counts.
    #[must_use]
    pub fn new(inverse_k: f64) -> Self {
        let inverse_k = if inverse_k > NO_CLUMPING {
            inverse_k
        } else {
            0.0
        };
        Self {
            inverse_k,
            root: inverse_k.sqrt(),
        }
    }

    /// The stabilised count.
    #[must_use]
    pub fn of(&self, count: f64) -> f64 {
        let root = (count + 0.5).sqrt();
        if self.inverse_k == 0.0 {
            root
        } else {
            (self.root * root).asinh() / self.root
        }
    }

    /// Mean of the stabilised count where counts have this mean.
    #[must_use]
    pub fn expected(&self, mean: f64) -> f64 {
        if mean <= 0.0 {
            return self.of(0.0);
        }
        let a = self.inverse_k;
        // Nine standard deviations either way, and the long tail of clumped counts.
        let spread = (1.0 / mean + a).sqrt();
        let low = (mean * (1.0 - 9.0 * spread)).floor().max(0.0);
        let high = (mean * (1.0 + 9.0 * spread + 25.0 * a) + 10.0).ceil();
        let cut = if high < 4.0 * ONE_BY_ONE {
            high
        } else {
            ONE_BY_ONE
        };
        let (mut mass, mut sum) = (0.0, 0.0);
        let mut count = low;
        let mut share = self.ln_mass(low, mean).exp();
        loop {
            if count >= cut {
                break;
            }
            mass += share;
            sum += share * self.of(count);
            share *= self.step(count, mean);
            count += 1.0;
        }
        if count < high {
            // Half a count below the first one left, as the midpoint rule has it.
            let (from, to) = ((count - 0.5).ln(), high.ln());
            let half = 0.5 * (to - from);
            for (x, w) in RULE.nodes.iter().zip(&RULE.weights) {
                let y = (0.5 * (from + to) + half * x).exp();
                let share = self.ln_mass(y, mean).exp() * y * w * half;
                mass += share;
                sum += share * self.of(y);
            }
        }
        sum / mass
    }

    /// Log of the chance of a count, for counts between whole numbers too.
    fn ln_mass(&self, y: f64, mean: f64) -> f64 {
        if self.inverse_k == 0.0 {
            return y * mean.ln() - mean - ln_gamma(y + 1.0);
        }
        let (k, x) = (1.0 / self.inverse_k, self.inverse_k * mean);
        let odds = (x / (1.0 + x)).ln();
        ln_gamma(y + k) - ln_gamma(k) - ln_gamma(y + 1.0) - k * x.ln_1p() + y * odds
    }

    /// Chance of the next count over that of this one.
    fn step(&self, count: f64, mean: f64) -> f64 {
        let a = self.inverse_k;
        mean * (1.0 + a * count) / ((1.0 + a * mean) * (count + 1.0))
    }

    /// The expected stabilised count as a curve over log means from `low` to `high`.
    #[must_use]
    pub fn curve(&self, low: f64, high: f64) -> Curve {
        let (middle, half) = (0.5 * (low + high), 0.5 * (high - low));
        if half < 1e-9 {
            // Narrower than any difference of means that matters: one value serves.
            return Curve {
                middle,
                half: 0.0,
                coefficients: vec![self.expected(middle.exp())],
            };
        }
        let n = TERMS as f64;
        let angle = |i: usize| std::f64::consts::PI * (i as f64 + 0.5) / n;
        let values: Vec<f64> = (0..TERMS)
            .map(|i| self.expected((middle + half * angle(i).cos()).exp()))
            .collect();
        let coefficients = (0..TERMS)
            .map(|j| {
                let sum: f64 = (0..TERMS)
                    .map(|i| values[i] * (j as f64 * angle(i)).cos())
                    .sum();
                sum * if j == 0 { 1.0 } else { 2.0 } / n
            })
            .collect();
        Curve {
            middle,
            half,
            coefficients,
        }
    }
}

/// Terms of a Chebyshev series: over means from 10^-3 to 10^4 they leave an error below 1e-4 of a
/// stabilised count, whose own scatter is 1/2.
const TERMS: usize = 20;

/// A smooth function of the log mean, as a Chebyshev series.
#[derive(Debug, Clone)]
pub struct Curve {
    middle: f64,
    half: f64,
    coefficients: Vec<f64>,
}

impl Curve {
    /// Its value at a log mean within the range it was made for.
    #[must_use]
    pub fn at(&self, ln_mean: f64) -> f64 {
        if self.half == 0.0 {
            return self.coefficients[0];
        }
        let x = ((ln_mean - self.middle) / self.half).clamp(-1.0, 1.0);
        // Clenshaw's recurrence.
        let (mut b1, mut b2) = (0.0, 0.0);
        for c in self.coefficients[1..].iter().rev() {
            (b1, b2) = (c + 2.0 * x * b1 - b2, b1);
        }
        self.coefficients[0] + x * b1 - b2
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::chance::negative_binomial;

    fn summed(s: &Stabiliser, mean: f64, k: f64, to: u64) -> f64 {
        (0..to)
            .map(|y| negative_binomial::ln_mass(y, mean, k).exp() * s.of(y as f64))
            .sum()
    }

    #[test]
    fn means_agree_with_plain_sums() {
        for (mean, k, to) in [
            (0.02, 0.3, 200),
            (0.5, 0.3, 2_000),
            (10.0, 0.3, 20_000),
            (300.0, 0.3, 60_000),
            (300.0, 10.0, 5_000),
            (5_000.0, 0.8, 300_000),
            (50.0, f64::INFINITY, 500),
            (3_000.0, f64::INFINITY, 8_000),
        ] {
            let s = Stabiliser::new(1.0 / k);
            let (found, sought) = (s.expected(mean), summed(&s, mean, k, to));
            // The longest tails are cut where they hold a millionth.
            assert!(
                (found - sought).abs() < 3e-6 * sought,
                "{mean} {k}: {found} {sought}"
            );
        }
    }

    #[test]
    fn a_million_larvae_and_no_clumping_are_a_square_root() {
        let s = Stabiliser::new(0.0);
        // E sqrt(Y + 1/2) = sqrt(m) (1 + 1/(8 m) + ...), Bartlett 1936.
        let sought = 1e3 * (1.0 + 1.0 / 8e6);
        assert!((s.expected(1e6) - sought).abs() < 1e-6);
    }

    #[test]
    fn the_curve_follows_the_mean() {
        for inverse_k in [0.0, 0.1, 3.3] {
            let s = Stabiliser::new(inverse_k);
            let curve = s.curve(-7.0, 9.0);
            for i in -7..=9 {
                let off = curve.at(f64::from(i)) - s.expected(f64::from(i).exp());
                assert!(off.abs() < 1e-3, "{inverse_k} {i}: {off}");
            }
        }
    }

    #[test]
    fn the_scatter_is_the_same_at_every_larger_mean() {
        // Variance 1/4 for Poisson counts and for k = 10 alike (Anscombe 1948).
        for k in [10.0, f64::INFINITY] {
            for mean in [20.0, 200.0] {
                let s = Stabiliser::new(1.0 / k);
                let moment = |power: i32| -> f64 {
                    (0..4_000)
                        .map(|y| {
                            negative_binomial::ln_mass(y, mean, k).exp()
                                * s.of(y as f64).powi(power)
                        })
                        .sum()
                };
                let variance = moment(2) - moment(1).powi(2);
                assert!((variance - 0.25).abs() < 0.02, "{k} {mean}: {variance}");
            }
        }
    }
}
