//! Several treatments against one control, by the multivariate t law of their contrasts.
//!
//! Accuracy: the trapezoidal sums are good to about 1e-11 of the p-value for `lambda` up to 0.999;
//! correct for unequal replication, since each contrast keeps its own `lambda`.

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
    .ok_or_else(|| {
        Error::new(
            "level of the critical value",
            alpha.to_string(),
            "the level must leave a tail that can be computed, above about 1e-300",
            "use a larger alpha",
        )
    })
}

/// Critical values of the same contrasts on several degrees of freedom, each worked out once: treatments mostly
/// share theirs.
#[derive(Debug, Clone)]
pub struct CriticalValues<'l> {
    alpha: f64,
    lambda: &'l [f64],
    alternative: Alternative,
    /// Degrees of freedom with their critical value.
    known: Vec<(f64, f64)>,
}

impl<'l> CriticalValues<'l> {
    /// Of these contrasts; nothing is worked out yet.
    #[must_use]
    pub fn new(alpha: f64, lambda: &'l [f64], alternative: Alternative) -> Self {
        Self {
            alpha,
            lambda,
            alternative,
            known: Vec::new(),
        }
    }

    /// The critical value on `df` degrees of freedom.
    ///
    /// # Errors
    /// As [`critical_value`].
    pub fn at(&mut self, df: f64) -> Result<f64, Error> {
        if let Some(&(_, known)) = self.known.iter().find(|k| k.0 == df) {
            return Ok(known);
        }
        let found = critical_value(self.alpha, self.lambda, df, self.alternative)?;
        self.known.push((df, found));
        Ok(found)
    }
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
