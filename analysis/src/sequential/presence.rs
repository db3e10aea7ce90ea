//! Plans for a crew that only notes whether a core holds more than a few.
//!
//! A core is occupied when its count is above the tally threshold T (0: any at all). For counts of known
//! clumping the share of occupied cores follows the mean, so two means become two shares and Wald's
//! test for a binomial share does the rest (M. Binns and J. Nyrop, "Sampling insect populations for the
//! purpose of IPM decision making", Annual Review of Entomology 37, 1992, 427-453). A higher T helps
//! where nearly every core is occupied. The share depends on k more than a count does.

use super::probability_ratio::{Levels, ParallelLines, shares};
use crate::Error;
use crate::distributions::negative_binomial::cdf;
use crate::power::above_zero;
use crate::power::survey::VarianceLaw;

/// Share of cores with more than `tally` animals at mean `mean` per core.
#[must_use]
pub fn occupied(mean: f64, law: VarianceLaw, tally: u64) -> f64 {
    1.0 - cdf(tally, mean, law.k_at(mean))
}

/// Lines for the number of occupied cores, for levels stated as means per core.
///
/// # Errors
/// As [`shares`]; a law that is not one; means whose shares can no longer be told apart in double
/// precision (nearly every core occupied at both).
pub fn lines(levels: Levels, law: VarianceLaw, tally: u64) -> Result<ParallelLines, Error> {
    levels.check()?;
    law.check()?;
    let as_share = |mean| occupied(mean, law, tally);
    let (low, high) = (as_share(levels.low), as_share(levels.high));
    if high >= 1.0 {
        return Err(Error::new(
            "tally threshold",
            format!("{tally}, at which every core is occupied"),
            "some cores must be expected at or below it",
            "raise the tally threshold towards the upper level",
        ));
    }
    above_zero("share of occupied cores at the lower level", low, false)?;
    shares(Levels {
        low,
        high,
        ..levels
    })
}
