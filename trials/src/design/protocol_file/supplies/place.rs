//! `[place]`: where the green lies and what its clocks show.

use jiff::tz::TimeZoneDatabase;
use serde::Serialize;

use super::{Reading, Section};
use crate::ranges::outline::{LATITUDE, LONGITUDE};
use crate::text::spelling::nearest;

/// Where the green lies; what is absent is not known, or in the outline.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
pub struct Place {
    /// Degrees north.
    pub latitude_deg: Option<f64>,
    /// Degrees east.
    pub longitude_deg: Option<f64>,
    /// Time zone as the IANA database names it.
    pub time_zone: Option<String>,
}

pub(super) fn place(section: &Section<'_>, reading: &mut Reading<'_>) -> Place {
    section.only(&["latitude_deg", "longitude_deg", "time_zone"], reading);
    let latitude_deg = section.number("latitude_deg", &LATITUDE, reading);
    let longitude_deg = section.number("longitude_deg", &LONGITUDE, reading);
    let pair = ["latitude_deg", "longitude_deg"];
    if section.has(pair[0]) != section.has(pair[1]) {
        let [has, lacks] = if section.has(pair[0]) {
            pair
        } else {
            [pair[1], pair[0]]
        };
        let what = format!("[place] has `{has}` but no `{lacks}`");
        let cure = "Write both, in degrees as on any map on a telephone, or neither.";
        reading.refuse(section.offset(has), what, cure);
    }
    Place {
        latitude_deg,
        longitude_deg,
        time_zone: time_zone(section, reading),
    }
}

/// A name of the database, as the database spells it.
fn time_zone(section: &Section<'_>, reading: &mut Reading<'_>) -> Option<String> {
    let written = section.name("time_zone", reading)?;
    let database = TimeZoneDatabase::bundled();
    if let Ok(zone) = database.get(&written) {
        return Some(zone.iana_name().unwrap_or(&written).to_owned());
    }
    let names: Vec<String> = database.available().map(|n| n.to_string()).collect();
    let cure = match nearest(&written, names.iter().map(String::as_str)) {
        Some(near) => format!("Did you mean \"{near}\"?"),
        None => "Write continent and city, such as \"Europe/London\".".to_owned(),
    };
    let what = format!("`time_zone`: \"{written}\" is not in the IANA time zone database");
    reading.refuse(section.offset("time_zone"), what, cure);
    None
}
