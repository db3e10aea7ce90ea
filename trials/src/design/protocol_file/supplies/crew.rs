//! `[crew]`: people on the night and what they take for each task.

use serde::Serialize;

use super::{Reading, Section};
use crate::ranges::protocol::{LIFT_ONE, MINUTES_EACH, MINUTES_PER_100_M2, PEOPLE, WITHIN};

/// Who comes, and how they work.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize)]
pub struct Crew {
    /// People on the night.
    pub people: Option<u64>,
    /// What one of them lifts alone, kilograms.
    pub lift_kg_per_person: Option<f64>,
    /// Minutes there are for laying and weighing down.
    pub lay_within_minutes: Option<f64>,
    /// Minutes there are for lifting.
    pub lift_within_minutes: Option<f64>,
    /// What each task takes.
    pub rates: Rates,
}

/// Person-minutes of each task, each absent where the club has no figure.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize)]
pub struct Rates {
    /// Laying 100 m2 of sheet.
    pub lay_per_100_m2: Option<f64>,
    /// Carrying and placing one weight.
    pub weigh_per_weight: Option<f64>,
    /// Taking up 100 m2 of sheet with its weights.
    pub lift_per_100_m2: Option<f64>,
    /// Counting one plot.
    pub count_per_plot: Option<f64>,
    /// Clearing away 100 m2 of sheet with its weights.
    pub clear_per_100_m2: Option<f64>,
    /// Drying and folding 100 m2 of sheet.
    pub dry_per_100_m2: Option<f64>,
}

const KEYS: [&str; 10] = [
    "people",
    "lift_kg_per_person",
    "lay_within_minutes",
    "lift_within_minutes",
    "lay_person_minutes_per_100_m2",
    "weigh_person_minutes_per_weight",
    "lift_person_minutes_per_100_m2",
    "count_person_minutes_per_plot",
    "clear_person_minutes_per_100_m2",
    "dry_person_minutes_per_100_m2",
];

pub(super) fn crew(section: &Section<'_>, reading: &mut Reading<'_>) -> Crew {
    section.only(&KEYS, reading);
    let of_sheet = |task: &str, reading: &mut Reading<'_>| {
        let key = format!("{task}_person_minutes_per_100_m2");
        section.number(&key, &MINUTES_PER_100_M2, reading)
    };
    Crew {
        people: section.whole("people", &PEOPLE, reading),
        lift_kg_per_person: section.number("lift_kg_per_person", &LIFT_ONE, reading),
        lay_within_minutes: section.number("lay_within_minutes", &WITHIN, reading),
        lift_within_minutes: section.number("lift_within_minutes", &WITHIN, reading),
        rates: Rates {
            lay_per_100_m2: of_sheet("lay", reading),
            weigh_per_weight: section.number(
                "weigh_person_minutes_per_weight",
                &MINUTES_EACH,
                reading,
            ),
            lift_per_100_m2: of_sheet("lift", reading),
            count_per_plot: section.number("count_person_minutes_per_plot", &MINUTES_EACH, reading),
            clear_per_100_m2: of_sheet("clear", reading),
            dry_per_100_m2: of_sheet("dry", reading),
        },
    }
}
