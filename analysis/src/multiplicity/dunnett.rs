//! Several treatments against one control, by the multivariate t law of their contrasts.
//!
//! Accuracy: the trapezoidal sums are good to about 1e-11 of the p-value for `lambda` up to 0.999;
//! correct for unequal replication, since each contrast keeps its own `lambda`.

use std::sync::OnceLock;

use super::max_t::MaxT;
use super::{Alternative, multivariate_t};
use crate::Error;
use crate::distributions::t_quantile;
use crate::numerics::roots::brent;

/// Largest |lambda| that is computed: a control with a millionth of the treatment's replication.
pub const LARGEST_LAMBDA: f64 = 0.999_999_5;

/// Single-step adjusted p-values: for each statistic, the chance that the largest of all of them
/// would be as extreme if no treatment differed from the control.
///
/// `t` and `lambda` go contrast by contrast; `df` may be infinite. An infinite statistic has p = 0 on
/// its own side (1 on the other).
///
/// ```
/// use halfgreen_analysis::multiplicity::{Alternative, dunnett, lambda_from_replication};
/// let lambda = lambda_from_replication(&[10.0, 10.0], 10.0).unwrap();
/// let p = dunnett::p_values(&[-1.331, 1.772], &lambda, 27.0, Alternative::TwoSided).unwrap();
/// assert!((p[0] - 0.3227).abs() < 5e-4 && (p[1] - 0.1535).abs() < 5e-4);
/// ```
///
/// # Errors
/// When `t` and `lambda` differ in length, a statistic is not a number, a `lambda` is not within
/// [`LARGEST_LAMBDA`] of 0, or `df` is below 1.
pub fn p_values(
    t: &[f64],
    lambda: &[f64],
    df: f64,
    alternative: Alternative,
) -> Result<Vec<f64>, Error> {
    refuse(t, lambda, df)?;
    let mut law = MaxT::new(lambda, df, alternative);
    Ok(t.iter().map(|&t| law.sf(alternative.evidence(t))).collect())
}

/// Step-down adjusted p-values (Dunnett & Tamhane 1991): never larger than [`p_values`], the same
/// error rate, but without simultaneous intervals to go with them.
///
/// The most extreme statistic is referred to the largest of all; the next to the largest of those
/// that remain, and so on; an adjusted p-value is never below that of a more extreme statistic.
///
/// # Errors
/// As [`p_values`].
pub fn step_down(
    t: &[f64],
    lambda: &[f64],
    df: f64,
    alternative: Alternative,
) -> Result<Vec<f64>, Error> {
    refuse(t, lambda, df)?;
    let mut order: Vec<usize> = (0..t.len()).collect();
    order.sort_by(|&a, &b| {
        alternative
            .evidence(t[b])
            .total_cmp(&alternative.evidence(t[a]))
    });
    let mut adjusted = vec![0.0; t.len()];
    let mut floor = 0.0_f64;
    for (rank, &i) in order.iter().enumerate() {
        let remaining: Vec<f64> = order[rank..].iter().map(|&j| lambda[j]).collect();
        let p = MaxT::new(&remaining, df, alternative).sf(alternative.evidence(t[i]));
        floor = floor.max(p);
        adjusted[i] = floor;
    }
    Ok(adjusted)
}

/// Critical value: the value that the largest statistic exceeds with chance `alpha` when no treatment differs:
/// estimate +- critical x standard error are simultaneous intervals (one-sided: one limit each).
///
/// # Errors
/// As [`p_values`], when `alpha` is not between 0 and 1, or when there is no contrast.
pub fn critical_value(
    alpha: f64,
    lambda: &[f64],
    df: f64,
    alternative: Alternative,
) -> Result<f64, Error> {
    refuse(&vec![0.0; lambda.len()], lambda, df)?;
    multivariate_t::refuse_alpha(alpha, lambda.len())?;
    let each = if alternative == Alternative::TwoSided {
        alpha / 2.0
    } else {
        alpha
    };
    // Between the point for one contrast and Bonferroni's for all of them.
    let low = -t_quantile(each, df);
    if lambda.len() == 1 {
        return Ok(low);
    }
    let high = -t_quantile(each / lambda.len() as f64, df);
    let mut law = MaxT::new(lambda, df, alternative);
    // Contrasts that are all but one make both ends the answer: step outside them by more than rounding.
    let margin = 1e-6 * (1.0 + high.abs());
    // Logarithms make the function nearly straight in t.
    brent(
        |t| law.sf(t).max(f64::MIN_POSITIVE).ln() - alpha.ln(),
        if alternative == Alternative::TwoSided {
            (low - margin).max(0.0)
        } else {
            low - margin
        },
        high + margin,
        1e-11,
    )
    .map(|root| root.x)
    .ok_or_else(|| too_small(alpha))
}

/// Critical values of the same contrasts on any degrees of freedom, for those that follow from the data: one contrast by
/// Student's quantile, several by interpolation in 1/df.
#[derive(Debug, Clone)]
pub struct CriticalCurve {
    alpha: f64,
    lambda: Vec<f64>,
    /// At each node of 1/df, the critical value over Student's quantile; worked out when first asked for.
    ratios: OnceLock<[f64; NODES]>,
}

/// Nodes of the interpolation. The critical value over Student's quantile is smooth in 1/df: fourteen Chebyshev points
/// leave less than 1e-5 of it (tested).
const NODES: usize = 14;

/// A level from which on critical values can be computed whatever the contrasts (tested).
const SURELY_COMPUTED: f64 = 1e-6;

impl CriticalCurve {
    /// Of these contrasts, two-sided.
    ///
    /// # Errors
    /// As [`critical_value`].
    pub fn new(alpha: f64, lambda: Vec<f64>) -> Result<Self, Error> {
        refuse(&vec![0.0; lambda.len()], &lambda, 1.0)?;
        multivariate_t::refuse_alpha(alpha, lambda.len())?;
        // The one failure that is left, a level too small to be computed, shows on few degrees of freedom.
        if alpha < SURELY_COMPUTED {
            critical_value(alpha, &lambda, 1.0, Alternative::TwoSided)?;
        }
        Ok(Self {
            alpha,
            lambda,
            ratios: OnceLock::new(),
        })
    }

    /// Whether a statistic, taken without its sign, lies beyond the critical value on `df` degrees of freedom. Without working
    /// that value out: beyond Bonferroni's point it does, within Student's for one contrast it does not, and between
    /// them its adjusted p decides.
    #[must_use]
    pub fn exceeded_by(&self, t: f64, df: f64) -> bool {
        if df.is_nan() || df < 1.0 || t <= -t_quantile(0.5 * self.alpha, df) {
            return false;
        }
        self.lambda.len() < 2
            || t > largest(self.alpha, self.lambda.len(), df)
            || MaxT::new(&self.lambda, df, Alternative::TwoSided).sf(t) < self.alpha
    }

    /// Bonferroni's point on `df` degrees of freedom, beyond which no critical value lies; infinite on less than one.
    #[must_use]
    pub fn at_most(&self, df: f64) -> f64 {
        if df.is_nan() || df < 1.0 {
            return f64::INFINITY;
        }
        largest(self.alpha, self.lambda.len(), df)
    }

    /// The critical value on `df` degrees of freedom; infinite on less than one.
    #[must_use]
    pub fn at(&self, df: f64) -> f64 {
        if df.is_nan() || df < 1.0 {
            return f64::INFINITY;
        }
        let student = -t_quantile(0.5 * self.alpha, df);
        if self.lambda.len() < 2 {
            return student;
        }
        let ratios = self.ratios.get_or_init(|| {
            std::array::from_fn(|i| {
                let df = node(i).recip();
                let found = critical_value(self.alpha, &self.lambda, df, Alternative::TwoSided);
                // `new` has shown that it can be computed.
                found.unwrap_or(f64::INFINITY) / -t_quantile(0.5 * self.alpha, df)
            })
        });
        // Barycentric interpolation (Berrut & Trefethen 2004, SIAM Review 46:501-517).
        let x = df.recip();
        let (mut above, mut below) = (0.0, 0.0);
        for (i, ratio) in ratios.iter().enumerate() {
            let distance = x - node(i);
            if distance == 0.0 {
                return ratio * student;
            }
            let sign = if i % 2 == 0 { 1.0 } else { -1.0 };
            let weight = sign * angle(i).sin() / distance;
            above += weight * ratio;
            below += weight;
        }
        above / below * student
    }
}

/// Bonferroni's point for so many contrasts, two-sided: no critical value lies beyond it.
fn largest(alpha: f64, contrasts: usize, df: f64) -> f64 {
    -t_quantile(0.5 * alpha / contrasts as f64, df)
}

/// A level whose tail cannot be computed.
fn too_small(alpha: f64) -> Error {
    Error::new(
        "level of the critical value",
        alpha.to_string(),
        "the level must leave a tail that can be computed: 1e-6 does on any degrees of freedom",
        "use a larger alpha",
    )
}

/// Angle of a Chebyshev point.
fn angle(i: usize) -> f64 {
    std::f64::consts::PI * (i as f64 + 0.5) / NODES as f64
}

/// Chebyshev point between 0 and 1, for 1/df.
fn node(i: usize) -> f64 {
    0.5 + 0.5 * angle(i).cos()
}

/// Refuses inputs for which no law is defined.
fn refuse(t: &[f64], lambda: &[f64], df: f64) -> Result<(), Error> {
    if t.len() != lambda.len() {
        return Err(Error::new(
            "contrasts with the control",
            format!("{} statistics and {} lambda", t.len(), lambda.len()),
            "every statistic needs its own lambda",
            "give one lambda for each treatment, in the same order",
        ));
    }
    if let Some(bad) = lambda
        .iter()
        .find(|l| l.is_nan() || l.abs() > LARGEST_LAMBDA)
    {
        return Err(Error::new(
            "lambda",
            bad.to_string(),
            format!("lambda must lie between -{LARGEST_LAMBDA} and {LARGEST_LAMBDA}"),
            "check the replication of the control; contrasts that are copies of one another need no adjustment",
        ));
    }
    multivariate_t::refuse_statistics(t, df)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_usual_level_is_too_small_to_be_computed() {
        for lambda in [
            vec![0.5_f64.sqrt(); 2],
            vec![0.0; 20],
            vec![LARGEST_LAMBDA; 3],
            vec![0.1, -0.9, 0.99],
        ] {
            for df in [1.0, 2.5, 1e6] {
                for alpha in [SURELY_COMPUTED, 1e-5, 1e-3, 0.5] {
                    let found = critical_value(alpha, &lambda, df, Alternative::TwoSided);
                    assert!(found.is_ok_and(f64::is_finite), "{lambda:?} {df} {alpha}");
                }
            }
        }
        for alpha in [1e-12, 1e-100, 1e-200, 1e-307] {
            assert!(CriticalCurve::new(alpha, vec![0.5; 3]).is_err(), "{alpha}");
        }
    }

    #[test]
    fn the_curve_follows_the_critical_values() {
        for lambda in [
            vec![0.5_f64.sqrt(); 3],
            vec![0.3, 0.8],
            vec![0.5_f64.sqrt(); 11],
        ] {
            let curve = CriticalCurve::new(0.05, lambda.clone()).unwrap();
            for df in [1.0, 1.7, 3.0, 5.4, 12.0, 50.0, 1e4] {
                let sought = critical_value(0.05, &lambda, df, Alternative::TwoSided).unwrap();
                let found = curve.at(df);
                assert!(
                    (found - sought).abs() < 1e-5 * sought,
                    "{lambda:?} {df}: {found} {sought}"
                );
            }
            assert_eq!(curve.at(0.5), f64::INFINITY);
            assert!(!curve.exceeded_by(1e9, 0.5));
            // On either side of the value itself, and far from it on both.
            for df in [1.0, 1.7, 5.4, 50.0, 1e4] {
                let value = critical_value(0.05, &lambda, df, Alternative::TwoSided).unwrap();
                for share in [0.1, 0.9, 1.0 - 1e-6, 1.0 + 1e-6, 1.1, 10.0] {
                    assert_eq!(
                        curve.exceeded_by(share * value, df),
                        share > 1.0,
                        "{lambda:?} {df} {share}"
                    );
                }
            }
        }
    }
}
