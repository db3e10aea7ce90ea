//! `[reporting]`: what a reader of the report must know beside the numbers, in the writer's own words.
//!
//! Much of it is known only afterwards, the weather for one; so none of it is sealed, and nothing is judged by it.

use serde::Serialize;

use super::file::TrialFile;
use super::section::Reading;

/// The keys with what each tells, in the order in which a report tells it.
const KEYS: [(&str, &str); 12] = [
    ("people", "Who laid out, treated and counted"),
    ("turf", "Turf: grasses, height of cut"),
    ("soil", "Soil, drainage, watering"),
    ("history", "What was done to the ground before"),
    ("species", "Species, and how it was identified"),
    ("application", "How and when the methods were applied"),
    ("equipment", "Sheets, machines, tools"),
    ("weather", "Weather and state of the ground"),
    (
        "counted_blind",
        "Whether those who counted knew the treatments",
    ),
    ("side_effects", "What happened to turf, other animals, play"),
    ("interests", "Who paid, who supplied, who gains"),
    ("data", "Where counts and records are kept"),
];

/// What people wrote for those who read the report.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize)]
pub struct Reporting {
    /// Keys with their texts, in the order in which a report tells them.
    pub written: Vec<(&'static str, String)>,
}

impl Reporting {
    /// What was written under a key.
    #[must_use]
    pub fn of(&self, key: &str) -> Option<&str> {
        let found = self.written.iter().find(|(k, _)| *k == key);
        found.map(|(_, text)| text.as_str())
    }

    /// Keys with what each tells, whether it was written or not.
    pub fn keys() -> impl Iterator<Item = (&'static str, &'static str)> {
        KEYS.into_iter()
    }
}

pub(super) fn reporting(file: &TrialFile<'_>, reading: &mut Reading<'_>) -> Reporting {
    let section = file.section("reporting", reading);
    section.only(&KEYS.map(|(key, _)| key), reading);
    let mut written = Vec::new();
    for (key, _) in KEYS {
        if let Some(text) = section.text(key, reading) {
            written.push((key, text));
        }
    }
    Reporting { written }
}
