//! Wald's sequential probability ratio test: is the mean low or high?
//!
//! Counting goes on while the likelihood ratio of the two means stays between beta / (1 - alpha) and
//! (1 - beta) / alpha, which for Poisson and negative binomial counts are two parallel lines for the
//! total (A. Wald, "Sequential Analysis", 1947; W. E. Waters, "Sequential sampling in forest insect
//! surveys", Forest Science 1, 1955, 68-79). The error rates hold approximately, usually on the safe
//! side, but only if k is right: see [`performance`](super::performance) for what the lines really do.

use serde::Serialize;

use super::{Bound, Line, bound};
use crate::Error;
use crate::error::{above_zero, open_share};

/// Two parallel lines: totals of `slope` n + intercept after n samples.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct ParallelLines {
    /// Rise for each sample.
    pub slope: f64,
    /// Intercept of the lower line (below 0).
    pub lower: f64,
    /// Intercept of the upper line (above 0).
    pub upper: f64,
    /// log-likelihood ratio for one animal more.
    pub weight: f64,
}

/// Two levels to be told apart and the chances of taking one for the other.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Levels {
    /// Low level: mean per sample (or share of samples) that is surely fine.
    pub low: f64,
    /// High level that surely asks for action.
    pub high: f64,
    /// Chance of acting at the low level.
    pub alpha: f64,
    /// Chance of not acting at the high level.
    pub beta: f64,
}

impl Levels {
    /// Refuses levels and error rates that no test can meet.
    ///
    /// # Errors
    /// A level not above 0, the low one not below the high one, an error rate outside (0, 1), or rates
    /// that add up to 1 or more.
    pub fn check(&self) -> Result<(), Error> {
        above_zero("lower level", self.low, false)?;
        above_zero("upper level", self.high, false)?;
        open_share("alpha", self.alpha)?;
        open_share("beta", self.beta)?;
        if self.low >= self.high {
            return Err(Error::new(
                "levels",
                format!("{} and {}", self.low, self.high),
                "the lower level must be below the upper one",
                "leave a gap between them: the wider it is, the fewer samples it takes",
            ));
        }
        if self.alpha + self.beta >= 1.0 {
            return Err(Error::new(
                "error rates",
                format!("{} and {}", self.alpha, self.beta),
                "they must add up to less than 1",
                "usual rates lie between 0.05 and 0.2",
            ));
        }
        Ok(())
    }

    fn lines(&self, weight: f64, per_core: f64) -> ParallelLines {
        ParallelLines {
            slope: per_core / weight,
            lower: (self.beta / (1.0 - self.alpha)).ln() / weight,
            upper: ((1.0 - self.beta) / self.alpha).ln() / weight,
            weight,
        }
    }
}

/// Lines for negative binomial counts with this `k`, the same at both means; Poisson when `k` is infinite.
///
/// # Example
/// Poisson counts, one against two animals a sample with both error rates at a tenth: the lines rise by
/// (2 - 1) / ln 2 a sample, ln 9 / ln 2 above and below (A. Wald 1947, "Sequential Analysis").
/// ```
/// use halfgreen_analysis::sequential::probability_ratio::{Levels, counts};
///
/// let lines = counts(Levels { low: 1.0, high: 2.0, alpha: 0.1, beta: 0.1 }, f64::INFINITY)?;
/// assert!((lines.slope - 1.0 / f64::ln(2.0)).abs() < 1e-12);
/// assert!((lines.upper - f64::ln(9.0) / f64::ln(2.0)).abs() < 1e-12);
/// assert!((lines.lower + lines.upper).abs() < 1e-12);
/// # Ok::<(), halfgreen_analysis::Error>(())
/// ```
///
/// # Errors
/// As [`Levels::check`]; k not above 0.
pub fn counts(levels: Levels, k: f64) -> Result<ParallelLines, Error> {
    levels.check()?;
    above_zero("k", k, true)?;
    let (low, high) = (levels.low, levels.high);
    // log of m1 (k + m0) / (m0 (k + m1)), with the part that vanishes for Poisson kept apart.
    let growth = if k.is_infinite() {
        0.0
    } else {
        ((high - low) / (k + low)).ln_1p()
    };
    let weight = (high / low).ln() - growth;
    let per_core = if k.is_infinite() {
        high - low
    } else {
        k * growth
    };
    Ok(levels.lines(weight, per_core))
}

/// Lines for the number of samples that are occupied, between two shares of occupied samples.
///
/// # Errors
/// As [`Levels::check`]; a share of 1 or more.
pub fn shares(levels: Levels) -> Result<ParallelLines, Error> {
    levels.check()?;
    open_share("upper share of samples", levels.high)?;
    let gap = ((1.0 - levels.low) / (1.0 - levels.high)).ln();
    Ok(levels.lines((levels.high / levels.low).ln() + gap, gap))
}

impl ParallelLines {
    /// The lines after each of 1 to `most` samples.
    #[must_use]
    pub fn lines(&self, most: usize) -> Vec<Line> {
        (1..=most)
            .map(|n| {
                let middle = self.slope * n as f64;
                Line {
                    n,
                    lower: Some(middle + self.lower),
                    upper: Some(middle + self.upper),
                }
            })
            .collect()
    }

    /// The same in whole numbers; cut off, a total up to `slope` n (the likelier mean is the low one)
    /// counts as few.
    #[must_use]
    pub fn bounds(&self, most: usize) -> Vec<Bound> {
        let rule = |line: Line| bound(line, self.slope * line.n as f64);
        self.lines(most).into_iter().map(rule).collect()
    }
}
