//! Sequential plans: when the counting may stop.
//!
//! | question | where | in | out |
//! |---|---|---|---|
//! | few or many, by Wald's ratio? | [`probability_ratio`] | two means, a count law, error rates | lines |
//! | above or below one level? | [`classification`] | the level, a variance law | lines |
//! | the mean, well enough? | [`fixed_precision`] | precision, a variance law | a line |
//! | and if samples are only marked empty or not? | [`presence`] | tally threshold | lines |
//! | what do lines do? | [`performance`] | whole-number bounds, a count law | decisions, samples used |
//! | may a trial be judged before its end? | [`spending`] | looks, alpha | boundaries |
//!
//! Lines are totals after n samples. Counts are whole, so [`Bound`] turns lines into the two
//! whole numbers that decide; everything about performance is computed for those, not for the lines.
//! Samples must come in random order from the whole site: a walk that starts in the worst corner is
//! no random sample. When not to use it: to compare treatments, where counting must end as planned.

pub mod classification;
pub mod fixed_precision;
pub mod performance;
pub mod presence;
pub mod probability_ratio;
pub mod spending;

use serde::Serialize;

/// The lines after `n` samples.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Line {
    /// Samples counted.
    pub n: usize,
    /// At or below this total the counting stops: few. Absent where the plan has no such line.
    pub lower: Option<f64>,
    /// At or above this total the counting stops: many, or precise enough.
    pub upper: Option<f64>,
}

/// The same in whole counts.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct Bound {
    /// Samples counted.
    pub n: usize,
    /// Stop with this total or fewer; absent where even a total of 0 says go on.
    pub stop_at_or_below: Option<u64>,
    /// Stop with this total or more.
    pub stop_at_or_above: Option<u64>,
    /// Largest total that counts as few when the plan is cut off here.
    pub cut_off_at: u64,
}

/// Rounds a line inward so that a stop is never earlier than the line allows. `dividing` is the total
/// that divides few from many when the counting is cut off after these samples.
#[must_use]
pub fn bound(line: Line, dividing: f64) -> Bound {
    Bound {
        n: line.n,
        stop_at_or_below: line.lower.filter(|l| *l >= 0.0).map(whole_below),
        stop_at_or_above: line.upper.map(|u| whole_above(u.max(0.0))),
        cut_off_at: whole_below(dividing.max(0.0)),
    }
}

/// Largest whole number not above a line.
fn whole_below(x: f64) -> u64 {
    to_count(snap(x).floor())
}

/// Smallest whole number not below a line.
fn whole_above(x: f64) -> u64 {
    to_count(snap(x).ceil())
}

/// A line that is whole up to the rounding of its arithmetic, a part in 10^9, counts as whole.
fn snap(x: f64) -> f64 {
    let near = x.round();
    if (x - near).abs() <= 1e-9 * near.abs() {
        near
    } else {
        x
    }
}

fn to_count(x: f64) -> u64 {
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "lines are totals of a few samples from 0; the cast saturates beyond"
    )]
    let whole = x as u64;
    whole
}
