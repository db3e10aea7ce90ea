//! The night by the clock.

use halfgreen::night::clock::{NoTimes, Place, evening, timetable};
use jiff::ZonedDateTime;
use jiff::civil::date;
use jiff::tz::TimeZoneDatabase;

fn place(latitude_deg: f64, longitude_deg: f64, zone: &str) -> Place {
    Place {
        latitude_deg,
        longitude_deg,
        zone: TimeZoneDatabase::bundled().get(zone).unwrap(),
    }
}

fn clock(at: &ZonedDateTime) -> String {
    at.strftime("%H:%M").to_string()
}

/// London, 21 June 2025: the Naval Observatory has the end of twilight at 21:09, its beginning at 02:55 and sunrise at 03:43, universal
/// time; in summer time an hour later. Twenty minutes to lay and half an hour to lift, each put back to full five minutes.
#[test]
fn sheets_are_down_by_dark_and_off_by_sunrise() {
    let london = place(51.5074, -0.1278, "Europe/London");
    let night = evening(date(2025, 6, 20), &london).unwrap();
    let found = timetable(&night, Some(20.0), Some(30.0)).unwrap();
    assert_eq!(clock(&found.down_by), "22:09");
    assert_eq!(clock(found.lay_from.as_ref().unwrap()), "21:45");
    assert_eq!(clock(&found.off_by), "04:43");
    assert_eq!(clock(found.lift_from.as_ref().unwrap()), "04:10");
    assert_eq!(
        [clock(&found.late_comers[0]), clock(&found.late_comers[1])],
        ["04:58", "05:13"]
    );
    assert!(!found.lift_in_the_dark);
    // An hour of lifting begins before first light.
    assert!(
        timetable(&night, Some(20.0), Some(60.0))
            .unwrap()
            .lift_in_the_dark
    );
    // Without rates the sun still says by when.
    let unknown = timetable(&night, None, None).unwrap();
    assert_eq!((unknown.lay_from, unknown.lift_from), (None, None));
    assert_eq!(
        timetable(&night, Some(20.0), Some(600.0)),
        Err(NoTimes::TooShort)
    );
}

#[test]
fn nights_without_sunset_or_sunrise_say_why() {
    let north = place(70.0, 0.0, "UTC");
    let on = |month, day| {
        timetable(
            &evening(date(2025, month, day), &north).unwrap(),
            Some(20.0),
            Some(20.0),
        )
    };
    assert_eq!(on(6, 21), Err(NoTimes::MidnightSun));
    assert_eq!(on(12, 21), Err(NoTimes::PolarNight));
    // Late in July the sun sets there, but it does not get dark: sheets are laid from sunset on.
    let bright = evening(date(2025, 7, 29), &north).unwrap();
    let found = timetable(&bright, Some(20.0), Some(20.0)).unwrap();
    let sunset = bright.sunset.time().unwrap();
    let lay = found.lay_from.unwrap();
    assert!((lay.timestamp().as_second() - sunset.timestamp().as_second()).abs() < 300 + 60);
    assert!(!found.lift_in_the_dark);
}
