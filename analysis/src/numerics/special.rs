//! Log-gamma and its derivatives, and the sums that keep the negative binomial exact near Poisson.

use special::Gamma as _;

/// log Gamma(x) for x > 0; relative error about 2e-16 (`libm`).
#[must_use]
pub fn ln_gamma(x: f64) -> f64 {
    libm::lgamma(x)
}

/// log(x!) for a count.
#[must_use]
pub fn ln_factorial(count: u64) -> f64 {
    libm::lgamma(count as f64 + 1.0)
}

/// Derivative of log-gamma for x > 0; relative error about 2e-14.
#[must_use]
pub fn digamma(x: f64) -> f64 {
    x.digamma()
}

/// Second derivative of log-gamma for x > 0; relative error about 1e-15.
#[must_use]
pub fn trigamma(x: f64) -> f64 {
    x.trigamma()
}

/// log(1 + x) - x without cancellation for small x.
#[must_use]
pub fn ln_1p_less_x(x: f64) -> f64 {
    if x.abs() > 0.02 {
        return x.ln_1p() - x;
    }
    // Series -x^2/2 + x^3/3 - ...; eight terms leave less than 0.02^10 / 10, below rounding.
    let mut sum = 0.0;
    for n in (2..=9).rev() {
        let sign = if n % 2 == 0 { -1.0 } else { 1.0 };
        sum = x * sum + sign / f64::from(n);
    }
    sum * x * x
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Euler's constant and pi^2/6 (Abramowitz and Stegun 1964, 6.3.2 and 6.4.2).
    #[test]
    fn derivatives_at_one() {
        assert!((digamma(1.0) + 0.577_215_664_901_532_9).abs() < 1e-14);
        assert!((trigamma(1.0) - std::f64::consts::PI.powi(2) / 6.0).abs() < 1e-14);
        assert!((ln_factorial(10) - 3_628_800_f64.ln()).abs() < 1e-13);
    }

    #[test]
    fn difference_of_logarithm_joins_smoothly() {
        for x in [1e-9, -1e-6, 0.0199, 0.0201, -0.0199, -0.0201, 3.0] {
            // Second road: the same quantity by the integral's next order bound or plainly.
            let plain = f64::ln_1p(x) - x;
            let got = ln_1p_less_x(x);
            assert!(
                (got - plain).abs() <= 4e-18 + 1e-12 * plain.abs() + 2e-16 * x.abs(),
                "{x}"
            );
        }
        assert!((ln_1p_less_x(1e-9) + 0.5e-18).abs() < 1e-26);
    }
}
