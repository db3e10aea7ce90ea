//! Iwao's plan: is the mean above or below one level?
//!
//! Counting goes on while the level lies inside the interval for the mean: the lines are
//! n m0 -+ t sqrt(n variance(m0)) (S. Iwao, "A new method of sequential sampling to classify
//! populations relative to a critical density", Researches on Population Ecology 16, 1975, 281-288).
//! The interval is looked at after every sample, so wrong calls near the level are commoner than t
//! suggests, and at the level itself counting would never end: it must be cut off.

use super::{Bound, Line, bound};
use crate::Error;
use crate::error::above_zero;
use crate::power::survey::VarianceLaw;

/// Lines after 1 to `most` samples for the level `level` (mean per sample) and normal quantile `t`.
///
/// # Errors
/// A level or `t` not above 0; a law without variance at the level.
pub fn lines(level: f64, law: VarianceLaw, t: f64, most: usize) -> Result<Vec<Line>, Error> {
    above_zero("level", level, false)?;
    above_zero("t", t, false)?;
    law.check()?;
    let variance = law.variance(level);
    above_zero("variance of a sample's count at the level", variance, false)?;
    Ok((1..=most)
        .map(|n| {
            let reach = t * (n as f64 * variance).sqrt();
            let middle = n as f64 * level;
            Line {
                n,
                lower: Some(middle - reach),
                upper: Some(middle + reach),
            }
        })
        .collect())
}

/// The same in whole numbers; cut off, a total up to n times the level counts as few.
///
/// # Errors
/// As [`lines`].
pub fn bounds(level: f64, law: VarianceLaw, t: f64, most: usize) -> Result<Vec<Bound>, Error> {
    let rule = |line: Line| bound(line, level * line.n as f64);
    Ok(lines(level, law, t, most)?.into_iter().map(rule).collect())
}
