//! Binomial (presence-absence) plans: only whether a sample holds more than a few is recorded.
//!
//! A sample is occupied when its count is above the tally threshold T (0: any at all). For counts of known
//! k the share of occupied samples follows the mean, so two means become two shares and Wald's
//! test for a binomial share does the rest (M. Binns and J. Nyrop, "Sampling insect populations for the
//! purpose of IPM decision making", Annual Review of Entomology 37, 1992, 427-453). A higher T helps
//! where nearly every sample is occupied. The share depends on k more than a count does.

use super::probability_ratio::{Levels, ParallelLines, shares};
use crate::Error;
use crate::distributions::negative_binomial::cdf;
use crate::error::above_zero;
use crate::power::survey::VarianceLaw;

/// Share of samples with a count above `tally` at mean `mean` per sample.
#[must_use]
pub fn occupied(mean: f64, law: VarianceLaw, tally: u64) -> f64 {
    1.0 - cdf(tally, mean, law.k_at(mean))
}

/// Lines for the number of occupied samples, for levels stated as means per sample.
///
/// # Errors
/// As [`shares`]; a law that is not one; means whose shares can no longer be told apart in double
/// precision (nearly every sample occupied at both).
pub fn lines(levels: Levels, law: VarianceLaw, tally: u64) -> Result<ParallelLines, Error> {
    levels.check()?;
    law.check()?;
    let as_share = |mean| occupied(mean, law, tally);
    let (low, high) = (as_share(levels.low), as_share(levels.high));
    if high >= 1.0 {
        return Err(Error::new(
            "tally threshold",
            format!("{tally}, at which every sample is occupied"),
            "some samples must be expected at or below it",
            "raise the tally threshold towards the upper level",
        ));
    }
    above_zero("share of occupied samples at the lower level", low, false)?;
    shares(Levels {
        low,
        high,
        ..levels
    })
}
