//! Survival functions and quantiles of the reference distributions.
//!
//! The distributions are those of `statrs`. Parameters outside their range, which callers here never
//! form, give NaN, as a mathematical function would.

use statrs::distribution::{ChiSquared, ContinuousCDF, FisherSnedecor, Normal, StudentsT};

/// Survival function of the standard normal, P(Z > z).
#[must_use]
pub fn normal_sf(z: f64) -> f64 {
    Normal::standard().sf(z)
}

/// The z below which a standard normal falls with chance `p`.
#[must_use]
pub fn normal_quantile(p: f64) -> f64 {
    Normal::standard().inverse_cdf(p)
}

/// Survival function of Student's t on `df` degrees of freedom, P(T > t); the normal for infinite `df`.
#[must_use]
pub fn t_sf(t: f64, df: f64) -> f64 {
    if df.is_infinite() {
        return normal_sf(t);
    }
    StudentsT::new(0.0, 1.0, df).map_or(f64::NAN, |law| law.sf(t))
}

/// Quantile of Student's t on `df` degrees of freedom; the normal for infinite `df`.
#[must_use]
pub fn t_quantile(p: f64, df: f64) -> f64 {
    if df.is_infinite() {
        return normal_quantile(p);
    }
    StudentsT::new(0.0, 1.0, df).map_or(f64::NAN, |law| law.inverse_cdf(p))
}

/// Survival function of chi-squared on `df` degrees of freedom, P(X > x).
#[must_use]
pub fn chi_squared_sf(x: f64, df: f64) -> f64 {
    if x <= 0.0 {
        return 1.0;
    }
    ChiSquared::new(df).map_or(f64::NAN, |law| law.sf(x))
}

/// Quantile of chi-squared on `df` degrees of freedom.
#[must_use]
pub fn chi_squared_quantile(p: f64, df: f64) -> f64 {
    ChiSquared::new(df).map_or(f64::NAN, |law| law.inverse_cdf(p))
}

/// Survival function of F on `between` and `within` degrees of freedom, P(F > x); chi-squared / `between` for infinite
/// `within`.
#[must_use]
pub fn f_sf(x: f64, between: f64, within: f64) -> f64 {
    if x <= 0.0 {
        return 1.0;
    }
    if within.is_infinite() {
        return chi_squared_sf(x * between, between);
    }
    FisherSnedecor::new(between, within).map_or(f64::NAN, |law| law.sf(x))
}

/// Quantile of F on `between` and `within` degrees of freedom.
#[must_use]
pub fn f_quantile(p: f64, between: f64, within: f64) -> f64 {
    if within.is_infinite() {
        return chi_squared_quantile(p, between) / between;
    }
    FisherSnedecor::new(between, within).map_or(f64::NAN, |law| law.inverse_cdf(p))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Fisher and Yates' tables as printed in most statistical handbooks.
    #[test]
    fn tabulated_points() {
        for (p, df, want) in [
            (0.95, 2.0, 2.920),
            (0.975, 6.0, 2.447),
            (0.995, 60.0, 2.660),
        ] {
            assert!((t_quantile(p, df) - want).abs() < 5e-4);
        }
        for (p, a, b, want) in [(0.95, 2.0, 6.0, 5.143), (0.99, 5.0, 66.0, 3.308)] {
            assert!((f_quantile(p, a, b) - want).abs() < 5e-4);
            assert!((f_sf(want, a, b) - (1.0 - p)).abs() < 1e-4);
        }
        for (p, df, want) in [
            (0.025, 3.0, 0.216),
            (0.95, 10.0, 18.307),
            (0.99, 100.0, 135.807),
        ] {
            assert!((chi_squared_quantile(p, df) - want).abs() < 5e-4);
        }
        assert!((t_quantile(0.975, f64::INFINITY) - 1.959964).abs() < 1e-6);
        assert!((f_sf(3.841459, 1.0, f64::INFINITY) - 0.05).abs() < 1e-7);
    }
}
