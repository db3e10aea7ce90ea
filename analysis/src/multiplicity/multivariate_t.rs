//! Any correlation: the multivariate t tail by randomised lattice points, with its error.
//!
//! The box probability is written as a product of conditional probabilities along the Cholesky factor
//! and averaged over a Richtmyer lattice, shifted at random and folded (Genz & Bretz 1999 and 2009,
//! "Computation of Multivariate Normal and t Probabilities", ch. 4). The spread over the shifts gives
//! the error. For contrasts with one control on a common variance use [`dunnett`](super::dunnett),
//! which is exact to rounding and far quicker.

use ndarray::ArrayRef2;
use serde::Serialize;

use super::Alternative;
use super::chi::ChiByScore;
use crate::Error;
use crate::distributions::normal_quantile;
use crate::numerics::cholesky::Cholesky;
use crate::random::Generator;

/// Independent random shifts of the lattice.
const SHIFTS: usize = 12;
/// Points of the first lattice; each further lattice has twice as many.
const FIRST: usize = 512;
/// Points of the last lattice, after which the error is what it is: about a second for ten contrasts.
const LAST: usize = 1 << 16;

/// A probability and how far off it may be.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Tail {
    /// The probability.
    pub value: f64,
    /// Three standard errors over the random shifts.
    pub error: f64,
    /// Integrand evaluations used in the last round.
    pub points: usize,
}

/// Survival function of max-t, P(largest of the statistics > `t`), for a multivariate t with this `correlation` and
/// `df` degrees of freedom (infinite: normal); of absolute values when two-sided. For
/// [`Alternative::Less`] give t with its sign: the smallest must be below it.
///
/// Lattices are doubled until the error is below `tolerance` or a lattice has 65536 points; compare
/// the returned error with what you need. The same seed gives the same bytes.
///
/// # Errors
/// When `t` is not a number, `df` is below 1, or `correlation` is not a positive definite k x k matrix
/// with ones on its diagonal.
pub fn sf(
    t: f64,
    correlation: &ArrayRef2<f64>,
    df: f64,
    alternative: Alternative,
    tolerance: f64,
    seed: u64,
) -> Result<Tail, Error> {
    refuse_statistics(&[t], df)?;
    let factor = factor(correlation)?;
    let t = alternative.evidence(t);
    let certain = |value| Tail {
        value,
        error: 0.0,
        points: 0,
    };
    if t.is_infinite() || (alternative == Alternative::TwoSided && t == 0.0) {
        return Ok(certain(if t > 0.0 { 0.0 } else { 1.0 }));
    }
    let region = Region {
        factor,
        t,
        // Beyond 1e7 the t law is within 1e-7 of the normal, closer than any lattice here.
        scale: (df < 1e7).then(|| ChiByScore::new(df)),
        two_sided: alternative == Alternative::TwoSided,
    };
    let mut points = FIRST;
    loop {
        let tail = region.average(points, seed);
        if tail.error <= tolerance || points >= LAST {
            return Ok(tail);
        }
        points *= 2;
    }
}

/// Single-step adjusted p-values for any correlation; see [`sf`].
///
/// # Errors
/// As [`sf`].
pub fn p_values(
    t: &[f64],
    correlation: &ArrayRef2<f64>,
    df: f64,
    alternative: Alternative,
    tolerance: f64,
    seed: u64,
) -> Result<Vec<Tail>, Error> {
    t.iter()
        .map(|&t| sf(t, correlation, df, alternative, tolerance, seed))
        .collect()
}

/// The region in which no statistic exceeds t, and the law over it.
struct Region {
    factor: Cholesky,
    t: f64,
    /// None for a known standard deviation.
    scale: Option<ChiByScore>,
    two_sided: bool,
}

impl Region {
    /// Mean over shifts of the lattice means, as the chance of being outside.
    fn average(&self, points: usize, seed: u64) -> Tail {
        let k = self.factor.order();
        let generators: Vec<f64> = primes(k).iter().map(|p| p.sqrt().fract()).collect();
        let mut means = [0.0; SHIFTS];
        let mut place = vec![0.0; k];
        let mut y = vec![0.0; k];
        for (stream, mean) in means.iter_mut().enumerate() {
            let mut chance = Generator::new(seed, stream as u64);
            let shift: Vec<f64> = (0..k).map(|_| chance.unit()).collect();
            for point in 1..=points {
                for i in 0..k {
                    let w = (point as f64 * generators[i] + shift[i]).fract();
                    // Folding makes the integrand periodic; the mirror image evens it out further.
                    place[i] = (2.0 * w - 1.0).abs();
                }
                *mean += self.outside(&place, &mut y);
                for w in &mut place {
                    *w = 1.0 - *w;
                }
                *mean += self.outside(&place, &mut y);
            }
            *mean /= 2.0 * points as f64;
        }
        let value = means.iter().sum::<f64>() / SHIFTS as f64;
        let spread: f64 = means.iter().map(|m| (m - value).powi(2)).sum();
        Tail {
            value: value.clamp(0.0, 1.0),
            error: 3.0 * (spread / (SHIFTS * (SHIFTS - 1)) as f64).sqrt(),
            points: 2 * SHIFTS * points,
        }
    }

    /// One minus the product of conditional probabilities at a point of the unit cube.
    ///
    /// The last coordinate draws the common standard deviation, the others the normals but the last,
    /// which needs no draw.
    fn outside(&self, place: &[f64], y: &mut [f64]) -> f64 {
        let k = place.len();
        let scale = self
            .scale
            .as_ref()
            .map_or(1.0, |table| table.at(normal_quantile(place[k - 1])));
        let bound = self.t * scale;
        let mut ln_inside = 0.0_f64;
        for i in 0..k {
            let row = self.factor.row(i);
            let diagonal = row[i];
            let mean: f64 = row[..i].iter().zip(&*y).map(|(l, y)| l * y).sum();
            let above = normal_tail((bound - mean) / diagonal);
            let below = if self.two_sided {
                normal_tail((bound + mean) / diagonal)
            } else {
                0.0
            };
            ln_inside += (-(above + below).min(1.0)).ln_1p();
            if ln_inside == f64::NEG_INFINITY {
                return 1.0;
            }
            if i + 1 < k {
                let inside = (1.0 - above - below).max(0.0);
                // Quantiles stay finite: the bounds keep the argument off 0 and 1 by one rounding.
                let p =
                    (below + place[i] * inside).clamp(f64::MIN_POSITIVE, 1.0 - f64::EPSILON / 2.0);
                y[i] = normal_quantile(p);
            }
        }
        -ln_inside.exp_m1()
    }
}

/// P(Z > z).
fn normal_tail(z: f64) -> f64 {
    0.5 * libm::erfc(z * std::f64::consts::FRAC_1_SQRT_2)
}

/// The first `n` primes, whose square roots generate the lattice.
fn primes(n: usize) -> Vec<f64> {
    let mut found: Vec<u32> = Vec::with_capacity(n);
    let mut candidate = 2;
    while found.len() < n {
        if found.iter().all(|p| candidate % p != 0) {
            found.push(candidate);
        }
        candidate += 1;
    }
    found.into_iter().map(f64::from).collect()
}

/// The Cholesky factor of a correlation matrix.
fn factor(correlation: &ArrayRef2<f64>) -> Result<Cholesky, Error> {
    let refused = |found: String| {
        Error::new(
            "correlation of the contrasts",
            found,
            "the matrix must be square, with ones on its diagonal, and positive definite",
            "leave out contrasts that follow from others",
        )
    };
    let (rows, columns) = correlation.dim();
    if rows == 0 || rows != columns {
        return Err(refused(format!("{rows} rows and {columns} columns")));
    }
    // Rounding of a covariance scaled to ones.
    if let Some(entry) = correlation.diag().iter().find(|r| (**r - 1.0).abs() > 1e-9) {
        return Err(refused(format!("{entry} on the diagonal")));
    }
    // A pivot of 1e-10 is a contrast that the others fix to five digits.
    Cholesky::new(correlation.to_owned(), 1e-10)
        .map_err(|row| refused(format!("contrast {} fixed by those before it", row + 1)))
}

/// Refuses statistics that are not numbers and degrees of freedom below 1.
pub(super) fn refuse_statistics(t: &[f64], df: f64) -> Result<(), Error> {
    if let Some(place) = t.iter().position(|t| t.is_nan()) {
        return Err(Error::new(
            "test statistics",
            format!("no number for contrast {}", place + 1),
            "every statistic must be a number or infinite",
            "leave out contrasts that could not be estimated",
        ));
    }
    if df.is_nan() || df < 1.0 {
        return Err(Error::new(
            "degrees of freedom",
            df.to_string(),
            "at least 1 is needed, or infinity for a known variance",
            "use a design with more plots than parameters",
        ));
    }
    Ok(())
}

/// Smallest level of a contrast: quantiles of t are not had for less.
const SMALLEST_LEVEL: f64 = 1e-100;

/// Refuses levels outside (0, 1) or next to 0, and an empty family.
pub(super) fn refuse_alpha(alpha: f64, contrasts: usize) -> Result<(), Error> {
    if contrasts > 0 && alpha / contrasts as f64 >= SMALLEST_LEVEL && alpha < 1.0 {
        return Ok(());
    }
    Err(Error::new(
        "level of the critical value",
        format!("{alpha} for {contrasts} contrasts"),
        "the level must lie between 1e-100 for each contrast and 1, and there must be a contrast",
        "use 0.05 unless the protocol says otherwise",
    ))
}
