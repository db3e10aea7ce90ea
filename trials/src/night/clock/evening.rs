//! One night at one place: sunset, dark, first light, sunrise.

use jiff::civil::Date;
use jiff::tz::TimeZone;
use jiff::{SignedDuration, Timestamp, ZonedDateTime};

use super::sun::{height_deg, since_noon};

/// Height of the sun's centre at sunrise and sunset, degrees.
const RISE_DEG: f64 = -50.0 / 60.0;
/// The same where civil twilight begins and ends.
const TWILIGHT_DEG: f64 = -6.0;
/// A day, seconds.
const DAY_S: i64 = 86_400;
/// Half of it: from the sun's highest place to its lowest.
const HALF_DAY_S: i64 = DAY_S / 2;

/// Where the green lies.
#[derive(Debug, Clone, PartialEq)]
pub struct Place {
    /// Degrees north.
    pub latitude_deg: f64,
    /// Degrees east.
    pub longitude_deg: f64,
    /// Time zone of its clocks.
    pub zone: TimeZone,
}

/// Something the sun does, or does not do that night.
#[derive(Debug, Clone, PartialEq)]
pub enum Event {
    /// When it does.
    At(ZonedDateTime),
    /// It does not: the sun stays above that height all night.
    StaysAbove,
    /// It does not: the sun stays below that height all day.
    StaysBelow,
}

impl Event {
    /// When it happens, if it does.
    #[must_use]
    pub fn time(&self) -> Option<&ZonedDateTime> {
        match self {
            Self::At(time) => Some(time),
            Self::StaysAbove | Self::StaysBelow => None,
        }
    }
}

/// A night from one date to the next.
#[derive(Debug, Clone, PartialEq)]
pub struct Evening {
    /// Sunset of the date.
    pub sunset: Event,
    /// End of civil twilight after it.
    pub dusk: Event,
    /// Beginning of civil twilight the next morning.
    pub first_light: Event,
    /// Sunrise the next morning.
    pub sunrise: Event,
}

impl Evening {
    /// By how many minutes clocks are put forward (or back, below 0) between the evening and the morning; 0 where the sun
    /// does not set or rise.
    #[must_use]
    pub fn clocks_move_min(&self) -> i32 {
        let offset = |event: &Event| event.time().map(|t| t.offset().seconds());
        match (offset(&self.sunset), offset(&self.sunrise)) {
            (Some(evening), Some(morning)) => (morning - evening) / 60,
            _ => 0,
        }
    }
}

/// The night that begins on `date` at a place; `None` beyond the calendar's ends.
#[must_use]
pub fn evening(date: Date, place: &Place) -> Option<Evening> {
    let noon = solar_noon(date, place)?;
    // From this noon on and not from the next date's: where clocks stand half a day from the sun, that may be two days on.
    let next = nearest_noon(
        noon.checked_add(SignedDuration::from_secs(DAY_S)).ok()?,
        place,
    )?;
    Some(Evening {
        sunset: crossing(noon, HALF_DAY_S, RISE_DEG, place)?,
        dusk: crossing(noon, HALF_DAY_S, TWILIGHT_DEG, place)?,
        first_light: crossing(next, -HALF_DAY_S, TWILIGHT_DEG, place)?,
        sunrise: crossing(next, -HALF_DAY_S, RISE_DEG, place)?,
    })
}

/// When the sun stands highest, nearest to noon of the place's clocks.
fn solar_noon(date: Date, place: &Place) -> Option<Timestamp> {
    let clocks = date
        .at(12, 0, 0, 0)
        .to_zoned_datetime(place.zone.clone())
        .ok()?;
    nearest_noon(clocks.timestamp(), place)
}

/// When the sun stands highest, nearest to an instant.
fn nearest_noon(mut at: Timestamp, place: &Place) -> Option<Timestamp> {
    // The equation of time changes by half a minute a day: a second step leaves less than a second.
    for _ in 0..2 {
        let late = since_noon(at, place.longitude_deg);
        at = at.checked_sub(SignedDuration::from_secs_f64(late)).ok()?;
    }
    Some(at)
}

/// When the sun passes a height between its highest place and its lowest, `towards` seconds away.
fn crossing(noon: Timestamp, towards: i64, height: f64, place: &Place) -> Option<Event> {
    let on = [place.latitude_deg, place.longitude_deg];
    let after = |seconds: i64| noon.checked_add(SignedDuration::from_secs(seconds)).ok();
    let (mut high, mut low) = (0, towards);
    if height_deg(noon, on) <= height {
        return Some(Event::StaysBelow);
    }
    if height_deg(after(low)?, on) >= height {
        return Some(Event::StaysAbove);
    }
    // The sun sinks all the way, so that halving finds the one second.
    while (high - low).abs() > 1 {
        let middle = i64::midpoint(high, low);
        if height_deg(after(middle)?, on) > height {
            high = middle;
        } else {
            low = middle;
        }
    }
    Some(Event::At(after(low)?.to_zoned_datetime(place.zone.clone())))
}
