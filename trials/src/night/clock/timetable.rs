//! The night by the clock: from when to lay, by when sheets must be off.
//!
//! Sheets are down by the end of civil twilight, so that the last weight is placed while people can see; and off by sunrise, since turf
//! under plastic scorches in the sun (common practice, no source). Where it never gets dark they are laid from sunset on.

use jiff::{SignedDuration, ZonedDateTime};

use super::{Evening, Event};

/// After how many minutes late comers are counted (common practice, no source).
pub const LATE_COMERS_MIN: [i64; 2] = [15, 30];

/// Beginnings are put back to a full five minutes.
const STEP_S: i64 = 300;

/// Clock times of a night, each absent where minutes of work are not known.
#[derive(Debug, Clone, PartialEq)]
pub struct Timetable {
    /// First strip.
    pub lay_from: Option<ZonedDateTime>,
    /// Last weight.
    pub down_by: ZonedDateTime,
    /// First weight off.
    pub lift_from: Option<ZonedDateTime>,
    /// Last strip up: sunrise, to the minute before.
    pub off_by: ZonedDateTime,
    /// Late comers are counted.
    pub late_comers: [ZonedDateTime; 2],
    /// Whether lifting begins before the first light.
    pub lift_in_the_dark: bool,
}

/// Why a night has no times.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum NoTimes {
    /// The sun does not set, or rises again before it could be dark.
    MidnightSun,
    /// The sun does not rise.
    PolarNight,
    /// Laying and lifting take longer than there is between them.
    TooShort,
}

impl NoTimes {
    /// The reason as a clause, and what to do.
    #[must_use]
    pub const fn told(self) -> (&'static str, &'static str) {
        match self {
            Self::MidnightSun => (
                "the sun does not set there on that date, so that sheets would lie in the sun all night",
                "Choose a night on which it sets.",
            ),
            Self::PolarNight => (
                "the sun does not rise there on that date, so that there is no sunrise by which sheets must be off",
                "Choose another night, or agree on a time by yourselves.",
            ),
            Self::TooShort => (
                "laying and lifting take longer than that night lasts",
                "Bring more people, or cover less.",
            ),
        }
    }
}

/// Times of a night in which laying takes `lay_min` minutes and lifting `lift_min`.
///
/// # Errors
/// A night without sunset or sunrise, or one that is too short for the work.
pub fn timetable(
    night: &Evening,
    lay_min: Option<f64>,
    lift_min: Option<f64>,
) -> Result<Timetable, NoTimes> {
    let (sunset, sunrise) = match (&night.sunset, &night.sunrise) {
        (Event::At(sunset), Event::At(sunrise)) => (sunset, sunrise),
        (Event::StaysBelow, _) | (_, Event::StaysBelow) => return Err(NoTimes::PolarNight),
        _ => return Err(NoTimes::MidnightSun),
    };
    let down_by = match night.dusk.time() {
        Some(dusk) => stepped(dusk, 0.0, 60),
        None => stepped(&later(sunset, lay_min.unwrap_or(0.0)), 0.0, 60),
    };
    let down_by = down_by.unwrap_or_else(|| sunset.clone());
    let lay_from = lay_min.and_then(|minutes| stepped(&down_by, minutes, STEP_S));
    let off_by = stepped(sunrise, 0.0, 60).unwrap_or_else(|| sunrise.clone());
    let lift_from = lift_min.and_then(|minutes| stepped(&off_by, minutes, STEP_S));
    let lifts = lift_from.as_ref().unwrap_or(&off_by);
    if *lifts <= down_by {
        return Err(NoTimes::TooShort);
    }
    let lift_in_the_dark = night.first_light.time().is_some_and(|light| lifts < light);
    let late_comers = LATE_COMERS_MIN.map(|minutes| later(&off_by, minutes as f64));
    Ok(Timetable {
        lay_from,
        down_by,
        lift_from,
        off_by,
        late_comers,
        lift_in_the_dark,
    })
}

/// So many minutes before, put back to a full step of so many seconds.
fn stepped(at: &ZonedDateTime, minutes: f64, step_s: i64) -> Option<ZonedDateTime> {
    let second = at.timestamp().as_second() as f64 - 60.0 * minutes;
    #[expect(
        clippy::cast_possible_truncation,
        reason = "seconds of the calendar are far below 2^52"
    )]
    let second = second.floor() as i64;
    let whole = second - second.rem_euclid(step_s);
    let timestamp = jiff::Timestamp::from_second(whole).ok()?;
    Some(timestamp.to_zoned_datetime(at.time_zone().clone()))
}

/// So many minutes later; the same at the calendar's end.
fn later(at: &ZonedDateTime, minutes: f64) -> ZonedDateTime {
    let after = at.checked_add(SignedDuration::from_secs_f64(60.0 * minutes));
    after.unwrap_or_else(|_| at.clone())
}
