//! The nights of a crossover: its occasions, all main ones, in the order of the file.

use super::section::{Reading, Section};
use crate::design::{Occasion, Role};

/// The nights of a crossover whose file names none: `night-1`, `night-2` and so on.
pub(super) fn unnamed(nights: usize) -> Vec<Occasion> {
    (1..=nights)
        .map(|night| Occasion {
            name: format!("night-{night}"),
            role: Role::Main,
            date: None,
        })
        .collect()
}

/// A crossover has as many nights as treatments, one after the other, and nothing beside them: before the
/// first night every plot is its own control, and after the last it has had every treatment.
pub(super) fn check(
    sections: &[Section<'_>],
    read: &[Occasion],
    nights: usize,
    reading: &mut Reading<'_>,
) {
    for (section, o) in sections.iter().zip(read) {
        if o.role != Role::Main {
            let what = format!(
                "occasion \"{}\" is not a night: a crossover compares each plot with itself, so that a count before adds \
                 nothing, and after the last night every plot has had every treatment",
                o.name
            );
            let cure = "Leave it out, or write role = \"main\" if it is the count of a night.";
            reading.refuse(section.offset("role"), what, cure);
        }
    }
    let mains = read.iter().filter(|o| o.role == Role::Main).count();
    if mains != nights {
        let what = format!(
            "a crossover of {nights} treatments takes {nights} nights, but {mains} occasion{} main",
            if mains == 1 { " is" } else { "s are" }
        );
        let cure = "Write one [[occasion]] with role = \"main\" for each night, in their order.";
        reading.refuse(sections.first().map_or(0, |s| s.at), what, cure);
    }
    for (section, pair) in sections.iter().skip(1).zip(read.windows(2)) {
        if let (Some(before), Some(after)) = (pair[0].date, pair[1].date)
            && after <= before
        {
            let what = format!(
                "night \"{}\" on {after} is not later than \"{}\" on {before}",
                pair[1].name, pair[0].name
            );
            let cure = "Correct the date, or put the nights in their order.";
            reading.refuse(section.offset("date"), what, cure);
        }
    }
}
