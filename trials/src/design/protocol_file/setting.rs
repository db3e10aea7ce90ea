//! `[setting]`: by what clubs are told apart when their trials are pooled.

use serde::Serialize;

use super::file::TrialFile;
use super::section::Reading;
use crate::ranges::protocol::NIGHT_TEMPERATURE;

/// Whose trial it is and on what ground. Nothing here changes how a trial is judged, so that it is no part of what is sealed.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
pub struct Setting {
    /// The club.
    pub club: Option<String>,
    /// The soil under the green: sand, loam.
    pub soil: Option<String>,
    /// How wet the ground lay: dry, moist, wet.
    pub wetness: Option<String>,
    /// Air at its coldest in the night, degrees Celsius.
    pub night_temperature_c: Option<f64>,
}

/// Reads the section, which is optional.
pub(super) fn setting(file: &TrialFile<'_>, reading: &mut Reading<'_>) -> Setting {
    let section = file.section("setting", reading);
    section.only(&["club", "soil", "wetness", "night_temperature_c"], reading);
    Setting {
        club: section.name("club", reading),
        soil: section.name("soil", reading),
        wetness: section.name("wetness", reading),
        night_temperature_c: section.number("night_temperature_c", &NIGHT_TEMPERATURE, reading),
    }
}
