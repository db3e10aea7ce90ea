//! What people can lift: weights of strips, dry and wet, against published guideline figures.
//!
//! Source: Health and Safety Executive, *Manual handling at work: a brief guide* (INDG143): 25 kg for men and 16 kg for women
//! at knuckle height and close to the body, for up to about 30 lifts an hour; less by 30 % at one or two lifts a minute, by
//! 50 % at five to eight, by 80 % above twelve. Between two steps the heavier reduction is taken. Teams: two people lift two
//! thirds of what both can alone, three people half (HSE guidance on the Manual Handling Operations Regulations 1992, L23, as
//! quoted by Network Rail's safety pages, which add that teams of more than four are unlikely to work). For four the half of
//! three is taken, since no figure was found. These are filters for a first look, not limits that make a lift safe.

use serde::Serialize;

use super::whole::at_least;

/// What one person lifts unless the club says otherwise, kilograms: the lower of the two published figures, so that most
/// people can.
pub const ONE_PERSON_KG: f64 = 16.0;

/// Most people who lift one piece together.
pub const MOST_IN_A_TEAM: u64 = 4;

/// Kilograms of a square metre of water one millimetre deep: a litre.
pub const KG_PER_M2_AND_MM: f64 = 1.0;

/// Water that lies on and in a sheet at dawn where the club has no figure of its own, millimetres: an assumption, no source.
pub const HELD_WATER_MM: f64 = 1.0;

/// What a sheet weighs.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SheetWeight {
    /// Dry, grams per square metre.
    pub grams_per_m2: f64,
    /// Water held at dawn, millimetres.
    pub held_water_mm: f64,
}

/// A strip and who can lift it.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct StripLoad {
    /// Dry, kilograms.
    pub dry_kg: f64,
    /// With the water it holds at dawn, kilograms.
    pub wet_kg: f64,
    /// People who lift it wet within the guideline; null where even a team of four does not.
    pub people: Option<u64>,
    /// Sections into which it is cut or folded so that the people there can lift each one wet; 1 where it stays whole, null
    /// where nobody is there.
    pub sections: Option<u64>,
    /// Length of a section, metres.
    pub section_m: Option<f64>,
}

/// What one person lifts at a pace of `lifts_per_minute`, where it is `one_kg` at an easy pace, kilograms.
#[must_use]
pub fn at_pace(one_kg: f64, lifts_per_minute: f64) -> f64 {
    let left = if lifts_per_minute <= 0.5 {
        1.0
    } else if lifts_per_minute <= 2.0 {
        0.7
    } else if lifts_per_minute <= 8.0 {
        0.5
    } else {
        0.2
    };
    left * one_kg
}

/// What a team lifts together where each alone lifts `one_kg`, kilograms; nobody lifts nothing, and more than four count as
/// four.
#[must_use]
pub fn team(people: u64, one_kg: f64) -> f64 {
    let people = people.min(MOST_IN_A_TEAM);
    let share = match people {
        0 | 1 => 1.0,
        2 => 2.0 / 3.0,
        _ => 0.5,
    };
    people as f64 * share * one_kg
}

/// A strip of `width_m` by `length_m` in the hands of `people`, of whom each alone lifts `one_kg`.
#[must_use]
pub fn strip(
    [length_m, width_m]: [f64; 2],
    sheet: &SheetWeight,
    people: Option<u64>,
    one_kg: f64,
) -> StripLoad {
    let area = length_m * width_m;
    let dry_kg = area * sheet.grams_per_m2 / 1000.0;
    let wet_kg = dry_kg + area * sheet.held_water_mm * KG_PER_M2_AND_MM;
    let lifts = |n: u64| team(n, one_kg) >= wet_kg;
    let there = people.filter(|n| *n > 0).map(|n| team(n, one_kg));
    // The fewest equal sections of which none is too heavy.
    let sections = there.map(|kg| at_least(wet_kg / kg).max(1));
    StripLoad {
        dry_kg,
        wet_kg,
        people: (1..=MOST_IN_A_TEAM).find(|n| lifts(*n)),
        sections,
        section_m: sections.map(|n| length_m / n as f64),
    }
}
