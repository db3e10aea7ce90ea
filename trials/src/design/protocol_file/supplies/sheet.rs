//! `[sheet]` and `[[roll]]`: sheet on the roll.

use serde::Serialize;

use super::{Reading, Section};
use crate::ranges::protocol::{
    GRAMS, HELD_WATER, LAP, PRICE, ROLL_LENGTH, ROLL_WIDTH, SHEET_EDGE, STOCK,
};

/// One sort of sheet on the roll.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
pub struct Roll {
    /// Name for people, where there is more than one sort.
    pub name: Option<String>,
    /// Length, metres.
    pub roll_length_m: Option<f64>,
    /// Width, metres.
    pub roll_width_m: Option<f64>,
    /// Overlap of neighbouring strips, metres.
    pub lap_m: Option<f64>,
    /// Sheet beyond the edge of the covered ground, metres.
    pub edge_m: Option<f64>,
    /// Whether it lets no light through.
    pub opaque: Option<bool>,
    /// In the shed already, square metres.
    pub in_stock_m2: Option<f64>,
    /// Price of a roll.
    pub price_per_roll: Option<f64>,
    /// Weight of a dry square metre, grams.
    pub grams_per_m2: Option<f64>,
    /// Water that lies on and in it at dawn, millimetres.
    pub held_water_mm: Option<f64>,
}

const KEYS: [&str; 10] = [
    "name",
    "roll_length_m",
    "roll_width_m",
    "lap_m",
    "edge_m",
    "opaque",
    "in_stock_m2",
    "price_per_roll",
    "grams_per_m2",
    "held_water_mm",
];

pub(super) fn roll(section: &Section<'_>, reading: &mut Reading<'_>) -> Roll {
    section.only(&KEYS, reading);
    let roll = Roll {
        name: section.name("name", reading),
        roll_length_m: section.number("roll_length_m", &ROLL_LENGTH, reading),
        roll_width_m: section.number("roll_width_m", &ROLL_WIDTH, reading),
        lap_m: section.number("lap_m", &LAP, reading),
        edge_m: section.number("edge_m", &SHEET_EDGE, reading),
        opaque: section.flag("opaque", reading),
        in_stock_m2: section.number("in_stock_m2", &STOCK, reading),
        price_per_roll: section.number("price_per_roll", &PRICE, reading),
        grams_per_m2: section.number("grams_per_m2", &GRAMS, reading),
        held_water_mm: section.number("held_water_mm", &HELD_WATER, reading),
    };
    lap_leaves_sheet(section, &roll, reading);
    roll
}

/// The share of a roll's side that a lap may take.
const MOST_LAP: f64 = 0.9;

/// Complains of a lap that leaves hardly any ground to the sheet.
fn lap_leaves_sheet(section: &Section<'_>, roll: &Roll, reading: &mut Reading<'_>) {
    let sides = [("width", roll.roll_width_m), ("length", roll.roll_length_m)];
    for (name, side) in sides {
        if let (Some(lap), Some(side)) = (roll.lap_m, side)
            && lap > MOST_LAP * side
        {
            let what = format!(
                "`lap_m` is {lap} on a roll with a {name} of {side} m: a tenth of the {name} at least must cover \
                 ground of its own"
            );
            reading.refuse(
                section.offset("lap_m"),
                what,
                "Correct the lap or the size of the roll.",
            );
            return;
        }
    }
}
