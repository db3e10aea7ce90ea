//! Zeros of another kind: a negative binomial in which some plots are empty for a reason of their own.
//!
//! Fitted only to see that it is not needed: overdispersion alone makes many zeros (Warton 2005,
//! Environmetrics 16:275-289).

use serde::Serialize;

use crate::Error;
use crate::counts::{Fit, Kernel, ModelMatrix, kernel, starting_values};
use crate::distributions::{self, negative_binomial};

/// Rounds of expectation and maximisation: each keeps a fixed share of the remaining error, which
/// is nearly all of it only where the gain is next to nothing.
const ROUNDS: usize = 3000;

/// A round that gains less than this in log-likelihood ends the search.
const LAST_GAIN: f64 = 1e-11;

/// A fit with a share of plots that are empty for a reason of their own.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct ZeroInflation {
    /// That share.
    pub share: f64,
    /// k of the other plots; `None` at the Poisson limit.
    pub k: Option<f64>,
    /// Log-likelihood with every constant.
    pub log_likelihood: f64,
    /// Twice the log-likelihood gained over the fit without the share; never negative.
    pub gain: f64,
    /// Chance of as large a gain if the share is 0: half the tail area of chi-squared on one degree of
    /// freedom, since a share cannot be negative (Self & Liang 1987, JASA 82:605-610); 1 without gain.
    pub p: f64,
}

/// Fits the share along with everything in `fit`, a negative binomial fit of the same counts.
///
/// Where the likelihood falls from the start as the share grows from 0, the answer is that fit itself.
///
/// # Errors
/// Lengths that differ.
pub fn zero_inflation(
    counts: &[u64],
    offset: &[f64],
    matrix: &ModelMatrix,
    fit: &Fit,
) -> Result<ZeroInflation, Error> {
    if counts.len() != fit.means.len() || offset.len() != counts.len() {
        return Err(Error::new(
            "counts",
            format!(
                "{} counts for {} fitted means",
                counts.len(),
                fit.means.len()
            ),
            "the fit must be of the same counts",
            "fit these counts first",
        ));
    }
    let plain = ZeroInflation {
        share: 0.0,
        k: fit.k.map(|k| k.value),
        log_likelihood: fit.log_likelihood,
        gain: 0.0,
        p: 1.0,
    };
    let k = 1.0 / fit.inverse_k();
    // Slope of the log-likelihood in the share, at share 0.
    let slope: f64 = counts
        .iter()
        .zip(&fit.means)
        .map(|(&y, &mean)| {
            let empty = if y == 0 {
                (-negative_binomial::ln_pmf(0, mean, k)).exp()
            } else {
                0.0
            };
            empty - 1.0
        })
        .sum();
    let none = counts.iter().all(|&y| y == 0);
    if none || slope.is_nan() || slope <= 1e-9 * counts.len() as f64 {
        return Ok(plain);
    }
    let values: Vec<f64> = counts.iter().map(|&y| y as f64).collect();
    let mut search = Search {
        beta: starting_values(&values, offset, matrix, 0.0),
        kernel: Kernel::new(counts),
        counts: values,
        offset,
        matrix,
        share: 0.1,
        a: fit.inverse_k().clamp(0.01, 10.0),
        etas: vec![0.0; counts.len()],
    };
    let log_likelihood = search.climb();
    let gain = 2.0 * (log_likelihood - fit.log_likelihood);
    if gain <= 0.0 {
        return Ok(plain);
    }
    Ok(ZeroInflation {
        share: search.share,
        // As in the comparison, 1/k below 1e-6 is the Poisson limit.
        k: (search.a > 1e-6).then(|| 1.0 / search.a),
        log_likelihood,
        gain,
        p: 0.5 * distributions::chi_squared_sf(gain, 1.0),
    })
}

/// State of the search.
struct Search<'a> {
    counts: Vec<f64>,
    offset: &'a [f64],
    matrix: &'a ModelMatrix,
    kernel: Kernel,
    beta: Vec<f64>,
    etas: Vec<f64>,
    a: f64,
    share: f64,
}

impl Search<'_> {
    fn climb(&mut self) -> f64 {
        let mut best = f64::NEG_INFINITY;
        for _ in 0..ROUNDS {
            let (value, weights) = self.expect();
            if value - best < LAST_GAIN {
                return value.max(best);
            }
            best = value;
            let empty: f64 = weights.iter().map(|w| 1.0 - w).sum();
            self.share = empty / weights.len() as f64;
            self.move_coefficients(&weights);
            self.move_k(&weights);
        }
        best
    }

    /// Log-likelihood, and for each plot the chance that it is one of the ordinary ones.
    fn expect(&mut self) -> (f64, Vec<f64>) {
        let k = 1.0 / self.a;
        let mut value = 0.0;
        let mut weights = Vec::with_capacity(self.counts.len());
        let ordinary = (-self.share).ln_1p();
        let mut walked = self.kernel.sums(self.a).0;
        for (row, &y) in self.counts.iter().enumerate() {
            let eta = self.offset[row] + self.matrix.predict(row, &self.beta);
            self.etas[row] = eta;
            if y == 0.0 {
                let zero = (ordinary + negative_binomial::ln_pmf(0, eta.exp(), k)).exp();
                weights.push(zero / (self.share + zero));
                value += (self.share + zero).ln();
            } else {
                weights.push(1.0);
                walked += ordinary + kernel::terms(y, eta, eta.exp(), self.a).value;
            }
        }
        (value + walked, weights)
    }

    /// One step of Newton's method in the coefficients, where the weighted likelihood is concave.
    fn move_coefficients(&mut self, weights: &[f64]) {
        let mut information = self.matrix.no_squares();
        let mut step = vec![0.0; self.beta.len()];
        for (row, &weight) in weights.iter().enumerate() {
            let eta = self.etas[row];
            let t = kernel::terms(self.counts[row], eta, eta.exp(), self.a);
            self.matrix.add_row(row, weight * t.eta, &mut step);
            self.matrix
                .add_square(row, weight * t.weight, &mut information);
        }
        if information.factor(1e-14).is_err() {
            return;
        }
        information.solve(&mut step);
        // A coefficient moves by at most 2 at once.
        let largest = step.iter().fold(0.0_f64, |m, s| m.max(s.abs()));
        let by = if largest > 2.0 { 2.0 / largest } else { 1.0 };
        for (b, s) in self.beta.iter_mut().zip(&step) {
            *b += by * s;
        }
        for (row, eta) in self.etas.iter_mut().enumerate() {
            *eta = self.offset[row] + self.matrix.predict(row, &self.beta);
        }
    }

    /// One step of Newton's method in log(1/k). Zero counts add nothing to the part of the
    /// likelihood that holds counts and k alone, so that part needs no weights.
    fn move_k(&mut self, weights: &[f64]) {
        let a = self.a;
        let (_, mut first, mut second) = self.kernel.sums(a);
        for ((&y, &eta), weight) in self.counts.iter().zip(&self.etas).zip(weights) {
            let t = kernel::terms(y, eta, eta.exp(), a);
            first += weight * t.a;
            second += weight * t.a_a;
        }
        let (gradient, bend) = (a * first, a * a * second + a * first);
        let step = if bend < 0.0 {
            (-gradient / bend).clamp(-1.0, 1.0)
        } else {
            0.5 * gradient.signum()
        };
        // 1e-8: at any count of a trial the Poisson limit to every printed digit.
        self.a = (a * step.exp()).clamp(1e-8, 1e8);
    }
}
