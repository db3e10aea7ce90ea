//! Stop when the mean is known well enough.
//!
//! With variance a m^b the standard error over the mean falls to D when the total reaches
//! (D^2 / a)^(1/(b-2)) n^((b-1)/(b-2)) (R. H. Green, "On fixed precision level sequential sampling",
//! Researches on Population Ecology 12, 1970, 249-251). With Iwao's law the line is
//! (alpha + 1) / (D^2 - (beta - 1) / n) (E. Kuno, "A new method of sequential sampling to obtain the
//! population estimates with a fixed level of precision", same journal 11, 1969, 127-136), which the
//! negative binomial shares with alpha 0 and beta 1 + 1/k. Stopping on a large total makes the mean read
//! a little high; at D of 0.25 by a few per cent.

use super::{Bound, Line, bound};
use crate::Error;
use crate::error::above_zero;
use crate::power::survey::VarianceLaw;

/// The line after 1 to `most` samples for the standard error over the mean `d`; no line (`None`) where no
/// total is enough yet.
///
/// # Errors
/// A precision not above 0, a law without variance, or Taylor's b of 2 or more, for which precision does
/// not depend on the total in this way.
pub fn lines(d: f64, law: VarianceLaw, most: usize) -> Result<Vec<Line>, Error> {
    above_zero("precision", d, false)?;
    law.check()?;
    if let VarianceLaw::Taylor { b, .. } = law
        && b >= 2.0
    {
        return Err(Error::new(
            "Taylor's b",
            format!("{b}"),
            "a stop line exists for b below 2 only",
            "take a fixed number of samples: precision then hardly depends on the mean",
        ));
    }
    let total = |n: f64| match law {
        VarianceLaw::Poisson => Some(1.0 / (d * d)),
        VarianceLaw::Taylor { a, b } => {
            Some((d * d / a).powf(1.0 / (b - 2.0)) * n.powf((b - 1.0) / (b - 2.0)))
        }
        VarianceLaw::NegativeBinomial { k } => kuno(0.0, 1.0 + 1.0 / k, d, n),
        VarianceLaw::Iwao { alpha, beta } => kuno(alpha, beta, d, n),
    };
    Ok((1..=most)
        .map(|n| Line {
            n,
            lower: None,
            upper: total(n as f64),
        })
        .collect())
}

fn kuno(alpha: f64, beta: f64, d: f64, n: f64) -> Option<f64> {
    let room = d * d - (beta - 1.0) / n;
    (room > 0.0).then(|| (alpha + 1.0) / room)
}

/// The same in whole numbers. There is nothing to divide when it is cut off: the survey ends less
/// precise than wished.
///
/// # Errors
/// As [`lines`].
pub fn bounds(d: f64, law: VarianceLaw, most: usize) -> Result<Vec<Bound>, Error> {
    let rule = |line: Line| bound(line, f64::MAX);
    Ok(lines(d, law, most)?.into_iter().map(rule).collect())
}
