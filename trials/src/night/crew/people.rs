//! Whether the people who come are enough.

use serde::Serialize;

use super::super::whole::at_least;
use super::{Hours, Task};

/// What bounds the evening and the morning.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Limits {
    /// Minutes there are for laying and weighing down.
    pub lay_within_min: Option<f64>,
    /// Minutes there are for lifting, all weights off and strips up.
    pub lift_within_min: Option<f64>,
    /// People whom the heaviest piece takes.
    pub for_one_piece: Option<u64>,
}

/// People against the work.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Manned {
    /// People who come; null where nobody said.
    pub people: Option<u64>,
    /// People it takes within the minutes there are; null where that is not known.
    pub people_needed: Option<u64>,
    /// Minutes from the first strip to the last weight, with the people who come.
    pub lay_min: Option<f64>,
    /// Minutes from the first weight off to the last strip up.
    pub lift_min: Option<f64>,
    /// Sheet that the people who come can lay and lift within the minutes there are, square metres, at most tonight's; null
    /// where that is not known.
    pub sheet_that_fits_m2: Option<f64>,
    /// Nights over which the work must be spread with the people who come; null where that is not known.
    pub nights: Option<u64>,
}

/// Tasks of the evening.
pub const EVENING: [Task; 2] = [Task::Lay, Task::Weigh];

/// People against person-minutes and limits; `sheet_m2` is tonight's sheet.
#[must_use]
pub fn manned(hours: &Hours, people: Option<u64>, limits: &Limits, sheet_m2: f64) -> Manned {
    let lay = hours.of(&EVENING);
    let lift = hours.of(&[Task::Lift]);
    // Person-minutes against the minutes in which they must be done.
    let bounded: Vec<(f64, f64)> = [
        lay.zip(limits.lay_within_min),
        lift.zip(limits.lift_within_min),
    ]
    .into_iter()
    .flatten()
    .filter(|(_, within)| *within > 0.0)
    .collect();
    let for_time = bounded
        .iter()
        .map(|(work, within)| at_least(work / within))
        .max();
    let people_needed = for_time.map(|n| n.max(limits.for_one_piece.unwrap_or(1)).max(1));
    let each = |work: Option<f64>| Some(work? / people? as f64);
    let share = people.filter(|_| !bounded.is_empty()).map(|n| {
        let shares = bounded
            .iter()
            .map(|(work, within)| n as f64 * within / work);
        shares.fold(1.0, f64::min)
    });
    Manned {
        people,
        people_needed,
        lay_min: each(lay),
        lift_min: each(lift),
        sheet_that_fits_m2: share.map(|share| share * sheet_m2),
        nights: share
            .filter(|s| *s > 0.0)
            .map(|share| at_least(1.0 / share).max(1)),
    }
}
