//! The negative binomial distribution by mean and k (NB2), for overdispersed counts; Poisson at infinite k.
//!
//! The variance is mean + mean^2 / k (NB2). The smaller k, the more overdispersed the counts.

use rand_distr::{Distribution as _, Gamma, Poisson};
use statrs::function::{beta::beta_reg, gamma::gamma_ur};

use crate::numerics::special::{ln_1p_less_x, ln_factorial, ln_gamma};
use crate::random::Generator;

/// Log of the probability mass function: log P(Y = `count`) for mean `mean` > 0 and `k` > 0; Poisson when `k` is infinite.
///
/// Exact through k to infinity: the terms that grow with k are combined before they are summed.
#[must_use]
pub fn ln_pmf(count: u64, mean: f64, k: f64) -> f64 {
    let y = count as f64;
    if mean <= 0.0 {
        return if count == 0 { 0.0 } else { f64::NEG_INFINITY };
    }
    if k.is_infinite() {
        return y * mean.ln() - mean - ln_factorial(count);
    }
    // log of prod_{j<y} (1 + j/k), less (k + y) log(1 + mean/k), plus y log(mean) - log y!.
    ln_rising_factorial(count, k) - (k + y) * (mean / k).ln_1p() + y * mean.ln()
        - ln_factorial(count)
}

/// Log of the rising factorial (Pochhammer symbol) of k over k to the `count`: the product of (1 + j/k) for
/// j = 0 .. `count` - 1, whose log tends to 0 as k grows.
#[must_use]
pub fn ln_rising_factorial(count: u64, k: f64) -> f64 {
    let y = count as f64;
    if count < 40 {
        let mut product = 1.0;
        let mut sum = 0.0;
        for j in 1..count {
            product *= 1.0 + j as f64 / k;
            if product > 1e250 {
                sum += product.ln();
                product = 1.0;
            }
        }
        // For large k the product is 1 + small: its logarithm still keeps k's own precision.
        return if k > 1e6 {
            (1..count).map(|j| (j as f64 / k).ln_1p()).sum()
        } else {
            sum + product.ln()
        };
    }
    // Stirling's series for both log-gammas, with the large terms cancelled by hand. Its fourth
    // correction, left out, is below 1 / (1680 * 20^7) = 5e-13.
    if k < 20.0 {
        return ln_gamma(k + y) - ln_gamma(k) - y * k.ln();
    }
    let x = y / k;
    let correction = |n: f64| (1.0 / 12.0 - (1.0 / 360.0 - 1.0 / (1260.0 * n * n)) / (n * n)) / n;
    k * ln_1p_less_x(x) + (y - 0.5) * x.ln_1p() + correction(k + y) - correction(k)
}

/// Cumulative distribution function: P(Y <= `count`).
#[must_use]
pub fn cdf(count: u64, mean: f64, k: f64) -> f64 {
    if mean <= 0.0 {
        return 1.0;
    }
    let y = count as f64;
    // Above 1e8 the incomplete beta loses more to rounding than the Poisson limit is away:
    // the two laws then differ by less than mean^2 / k in total variation.
    if k > 1e8 * mean.max(1.0) {
        return gamma_ur(y + 1.0, mean);
    }
    beta_reg(k, y + 1.0, k / (k + mean))
}

/// Draws a count: a Poisson count whose mean is itself gamma distributed with shape k.
///
/// A mean of 0 gives 0. Means are capped at 1e15, far beyond any count of a trial, so that the
/// count fits its type.
pub fn draw(generator: &mut Generator, mean: f64, k: f64) -> u64 {
    let rate = if k.is_infinite() {
        mean
    } else {
        Gamma::new(k, mean / k).map_or(0.0, |law| law.sample(generator))
    };
    if rate.is_nan() || rate <= 0.0 {
        return 0;
    }
    let count: f64 = Poisson::new(rate.min(1e15)).map_or(0.0, |law| law.sample(generator));
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a whole number from 0 to about 1e15"
    )]
    let count = count as u64;
    count
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn masses_add_up_and_meet_the_poisson_limit() {
        for (mean, k) in [
            (0.3, 0.05),
            (4.0, 0.8),
            (20.0, 7.0),
            (3.0, 1e4),
            (3.0, f64::INFINITY),
        ] {
            let mut total = 0.0;
            for y in 0..4000 {
                total += ln_pmf(y, mean, k).exp();
                if y % 7 == 0 && y < 60 {
                    assert!((cdf(y, mean, k) - total).abs() < 1e-9, "{mean} {k} {y}");
                }
            }
            assert!((total - 1.0).abs() < 1e-9, "{mean} {k}: {total}");
        }
    }

    #[test]
    fn rising_factorial_agrees_on_every_road() {
        for y in [0, 1, 2, 5, 39, 40, 41, 200, 5000] {
            for k in [
                1e-3,
                0.5,
                3.0,
                1e3,
                0.999e3 * 200.0,
                1.001e3 * 200.0,
                9e5,
                1.1e6,
                1e8,
                1e12,
            ] {
                let plain: f64 = (1..y).map(|j| (j as f64 / k).ln_1p()).sum();
                let got = ln_rising_factorial(y, k);
                assert!(
                    (got - plain).abs() <= 2e-12 * (1.0 + plain.abs()),
                    "{y} {k}: {got} {plain}"
                );
            }
        }
    }

    #[test]
    fn draws_have_the_stated_mean_and_variance() {
        for (mean, k) in [(0.5, 0.3), (5.0, 0.8), (10.0, f64::INFINITY)] {
            let mut g = Generator::new(11, 0);
            let n = 200_000;
            let draws: Vec<f64> = (0..n).map(|_| draw(&mut g, mean, k) as f64).collect();
            let m = draws.iter().sum::<f64>() / f64::from(n);
            let v = draws.iter().map(|y| (y - m).powi(2)).sum::<f64>() / f64::from(n - 1);
            let want = mean + mean * mean / k;
            // Five standard errors of the mean; the variance within 6 %.
            assert!((m - mean).abs() < 5.0 * (want / f64::from(n)).sqrt());
            assert!((v / want - 1.0).abs() < 0.06, "{v} {want}");
        }
    }
}
