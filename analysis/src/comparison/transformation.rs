//! The variance-stabilising transformation on whose scale plots are compared.

use std::sync::LazyLock;

use crate::numerics::quadrature::{self, Rule};
use crate::numerics::special::ln_gamma;

/// A transformation of negative binomial counts with a given k:
/// sinh(2 p arsinh(sqrt((y + 1/2) / k))) sqrt(k) / (2 p), with a power p from 0 to 1/2.
///
/// Few random counts go by their square root, whatever p; counts far above k by their power p. At p = 0 it
/// is the variance-stabilising arsinh(sqrt((y + 1/2) / k)) sqrt(k), which runs like half the logarithm for
/// overdispersed counts (Beall 1942, Biometrika 32:243-262; Anscombe 1948, Biometrika 35:246-254); at p = 1/2
/// the square root of y + 1/2 (Bartlett 1936, whose half keeps zeros apart from ones). Between the two lies
/// the scale that makes overdispersed counts most nearly normal: of a gamma law the cube root (Wilson & Hilferty
/// 1931, PNAS 17:684-688).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Transformation {
    inverse_k: f64,
    root: f64,
    /// Twice the power.
    rise: f64,
    /// 1/k of the counts whose moments are asked for.
    law: f64,
}

/// 1/k at or below this counts as none: arsinh(x) / x differs from 1 by x^2 / 6, below the last digit
/// of a count of a million.
const POISSON: f64 = 1e-12;

/// Where all counts that can occur lie below this, they are summed one by one: with their transformed values known, a
/// thousand cost less than the integral.
const ALL_ONE_BY_ONE: f64 = 1024.0;

/// Else this many are summed one by one; beyond, the sum is an integral on the log scale.
const ONE_BY_ONE: f64 = 64.0;

/// Points of the integral: with 48 it is good to 1e-6 for every mean and k (tested against sums).
static RULE: LazyLock<Rule> = LazyLock::new(|| quadrature::legendre(48));

/// The transformed counts 0, 1, ... of one scale, as far as they were needed.
#[derive(Debug, Default)]
pub(super) struct TransformedCounts(Vec<f64>);

impl Transformation {
    /// For counts with this 1/k, 0 for Poisson counts, and a power from 0 to 1/2; beyond, the nearer of the two.
    #[must_use]
    pub fn new(inverse_k: f64, power: f64) -> Self {
        let inverse_k = if inverse_k > POISSON { inverse_k } else { 0.0 };
        Self {
            inverse_k,
            root: inverse_k.sqrt(),
            rise: 2.0 * power.clamp(0.0, 0.5),
            law: inverse_k,
        }
    }

    /// The same scale, its moments those of counts with another 1/k.
    #[must_use]
    pub fn under(&self, inverse_k: f64) -> Self {
        let law = if inverse_k > POISSON { inverse_k } else { 0.0 };
        Self { law, ..*self }
    }

    /// The transformed count.
    #[must_use]
    pub fn of(&self, count: f64) -> f64 {
        let root = (count + 0.5).sqrt();
        if self.inverse_k == 0.0 {
            return root;
        }
        let stable = (self.root * root).asinh();
        if self.rise == 0.0 {
            stable / self.root
        } else {
            (self.rise * stable).sinh() / (self.rise * self.root)
        }
    }

    /// Relative standard deviation at this mean: the standard deviation of the transformed
    /// count, over that of the stabilised one. It is 1 at a power of 0.
    #[must_use]
    pub fn relative_sd(&self, mean: f64) -> f64 {
        (self.rise * (self.root * mean.sqrt()).asinh()).cosh()
    }

    /// Mean of the transformed count where counts have this mean.
    #[must_use]
    pub fn expected(&self, mean: f64) -> f64 {
        self.moments(mean).0
    }

    /// Mean and variance of the transformed count where counts have this mean.
    #[must_use]
    pub fn moments(&self, mean: f64) -> (f64, f64) {
        self.moments_from(mean, &mut TransformedCounts::default())
    }

    /// As [`Transformation::moments`], with the transformed counts known already.
    pub(super) fn moments_from(&self, mean: f64, known: &mut TransformedCounts) -> (f64, f64) {
        // Squares about the value at the mean, so that they keep their digits.
        let middle = self.of(mean.max(0.0));
        let (mut mass, mut sum, mut squares) = (0.0, 0.0, 0.0);
        self.over_counts(mean, known, |share, _, value| {
            let off = value - middle;
            mass += share;
            sum += share * off;
            squares += share * off * off;
        });
        let shift = sum / mass;
        (middle + shift, (squares / mass - shift * shift).max(0.0))
    }

    /// Goes over the counts that can occur where they have this mean: hands out the share of each, the count (between
    /// whole numbers where many stand for one) and its transformed value. The shares sum to 1 but for what is cut off.
    pub(super) fn over_counts(
        &self,
        mean: f64,
        TransformedCounts(known): &mut TransformedCounts,
        mut add: impl FnMut(f64, f64, f64),
    ) {
        if mean <= 0.0 {
            return add(1.0, 0.0, self.of(0.0));
        }
        let a = self.law;
        // Nine standard deviations either way, and the long tail of overdispersed counts.
        let spread = (1.0 / mean + a).sqrt();
        let low = (mean * (1.0 - 9.0 * spread)).floor().max(0.0);
        let high = (mean * (1.0 + 9.0 * spread + 25.0 * a) + 10.0).ceil();
        let cut = if high < ALL_ONE_BY_ONE {
            high
        } else {
            ONE_BY_ONE
        };
        let ln_pmf = self.ln_pmf(mean);
        let mut share = ln_pmf(low).exp();
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "whole numbers from 0 below ALL_ONE_BY_ONE, or `low` stands beyond `cut`"
        )]
        let (first, end) = (low as usize, cut as usize);
        if first < end {
            known.extend((known.len()..end).map(|count| self.of(count as f64)));
        }
        for (count, value) in known.iter().enumerate().take(end).skip(first) {
            add(share, count as f64, *value);
            share *= self.step(count as f64, mean);
        }
        let next = low.max(cut);
        if next < high {
            // Half a count below the first one left, as the midpoint rule has it.
            let (from, to) = ((next - 0.5).ln(), high.ln());
            let half = 0.5 * (to - from);
            for (x, w) in RULE.nodes.iter().zip(&RULE.weights) {
                let y = (0.5 * (from + to) + half * x).exp();
                add(ln_pmf(y).exp() * y * w * half, y, self.of(y));
            }
        }
    }

    /// Log of the chance of a count where counts have this mean, for counts between whole numbers too.
    pub(super) fn ln_pmf(&self, mean: f64) -> impl Fn(f64) -> f64 + use<> {
        let poisson = self.law == 0.0;
        let (k, x) = (1.0 / self.law, self.law * mean);
        let odds = (x / (1.0 + x)).ln();
        let (constant, none) = (ln_gamma(k), k * x.ln_1p());
        let ln_mean = mean.ln();
        move |y| {
            if poisson {
                y * ln_mean - mean - ln_gamma(y + 1.0)
            } else {
                ln_gamma(y + k) - constant - ln_gamma(y + 1.0) - none + y * odds
            }
        }
    }

    /// Chance of the next count over that of this one.
    fn step(&self, count: f64, mean: f64) -> f64 {
        let a = self.law;
        mean * (1.0 + a * count) / ((1.0 + a * mean) * (count + 1.0))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::distributions::negative_binomial;

    fn summed(s: &Transformation, mean: f64, k: f64, to: u64) -> f64 {
        (0..to)
            .map(|y| negative_binomial::ln_pmf(y, mean, k).exp() * s.of(y as f64))
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
            for power in [0.0, 0.25, 0.5] {
                let s = Transformation::new(1.0 / k, power);
                let (found, sought) = (s.expected(mean), summed(&s, mean, k, to));
                // The longest tails are cut where they hold a millionth.
                assert!(
                    (found - sought).abs() < 3e-6 * sought,
                    "{mean} {k} {power}: {found} {sought}"
                );
            }
        }
    }

    #[test]
    fn a_large_poisson_count_goes_by_its_square_root() {
        let s = Transformation::new(0.0, 0.3);
        // E sqrt(Y + 1/2) = sqrt(m) (1 + 1/(8 m) + ...), Bartlett 1936.
        let sought = 1e3 * (1.0 + 1.0 / 8e6);
        assert!((s.expected(1e6) - sought).abs() < 1e-6);
    }

    #[test]
    fn the_powers_run_from_the_stabilised_count_to_the_square_root() {
        for k in [0.3, 2.0, 50.0_f64] {
            for y in [0.0, 3.0, 400.0, 1e6_f64] {
                let stable = ((y + 0.5) / k).sqrt().asinh() * k.sqrt();
                let near = |a: f64, b: f64| assert!((a - b).abs() < 1e-7 * b, "{k} {y}: {a} {b}");
                near(Transformation::new(1.0 / k, 0.0).of(y), stable);
                near(Transformation::new(1.0 / k, 1e-5).of(y), stable);
                near(Transformation::new(1.0 / k, 0.5).of(y), (y + 0.5).sqrt());
            }
        }
        // Far above k a count goes by its power.
        let s = Transformation::new(10.0, 1.0 / 3.0);
        let grown = (s.of(8e6) / s.of(1e6)).ln() / 8.0_f64.ln();
        assert!((grown - 1.0 / 3.0).abs() < 1e-3, "{grown}");
    }

    #[test]
    fn the_scatter_is_the_same_at_every_larger_mean() {
        // Variance 1/4 for Poisson counts and for k = 10 alike (Anscombe 1948), at other powers once
        // divided by the spread.
        for (k, power) in [(10.0, 0.0), (10.0, 0.4), (f64::INFINITY, 0.4)] {
            for mean in [20.0, 200.0] {
                let s = Transformation::new(1.0 / k, power);
                let moment = |power: i32| -> f64 {
                    (0..4_000)
                        .map(|y| {
                            negative_binomial::ln_pmf(y, mean, k).exp()
                                * (s.of(y as f64) / s.relative_sd(mean)).powi(power)
                        })
                        .sum()
                };
                let variance = moment(2) - moment(1).powi(2);
                assert!(
                    (variance - 0.25).abs() < 0.02,
                    "{k} {power} {mean}: {variance}"
                );
            }
        }
    }
}
