//! `[wind]` and `[ballast]`: the gust that sheets must bear, and what holds them down.

use serde::Serialize;

use super::{Reading, Section};
use crate::design::wind_speed::read_wind_speed;
use crate::ranges::protocol::{
    BALLAST_SPACING, BALLAST_STOCK, COEFFICIENT, EDGE_ZONE, GUST, GUST_LIMIT, PRICE, WEIGHT,
    WIND_FROM,
};

/// Wind expected while sheets lie; what is absent is not known, or left to the tool.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize)]
pub struct Wind {
    /// Gust, metres per second.
    pub gust_m_s: Option<f64>,
    /// The Beaufort force as which it was told, if it was.
    pub gust_force: Option<u8>,
    /// Where it comes from, degrees clockwise from north.
    pub from_deg: Option<f64>,
    /// Gust above which sheets stay in the shed, metres per second.
    pub limit_gust_m_s: Option<f64>,
    /// Net upward pressure coefficient in the edge zone.
    pub edge_coefficient: Option<f64>,
    /// The same in the middle.
    pub middle_coefficient: Option<f64>,
    /// Width of the edge zone, metres.
    pub edge_zone_m: Option<f64>,
}

/// Timbers, bags or whatever else holds sheets down, all of them alike.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
pub struct Weights {
    /// What they are called.
    pub name: Option<String>,
    /// Weight of one, kilograms.
    pub weight_kg: Option<f64>,
    /// Largest distance between two, metres.
    pub most_spacing_m: Option<f64>,
    /// How many are there already.
    pub in_stock: Option<u64>,
    /// Price of one more.
    pub price_each: Option<f64>,
}

const WIND_KEYS: [&str; 7] = [
    "gust_m_s",
    "gust",
    "from_deg",
    "limit_gust_m_s",
    "edge_coefficient",
    "middle_coefficient",
    "edge_zone_m",
];

const BALLAST_KEYS: [&str; 5] = [
    "name",
    "weight_kg",
    "most_spacing_m",
    "in_stock",
    "price_each",
];

pub(super) fn wind(section: &Section<'_>, reading: &mut Reading<'_>) -> Wind {
    section.only(&WIND_KEYS, reading);
    let told = told_gust(section, reading);
    let metres = section.number("gust_m_s", &GUST, reading);
    if section.has("gust") && section.has("gust_m_s") {
        let what = "the gust is written twice, as `gust` and as `gust_m_s`";
        reading.refuse(section.offset("gust"), what, "Take one of the lines out.");
    }
    Wind {
        gust_m_s: metres.or(told.map(|t| t.0)),
        gust_force: told.and_then(|t| t.1),
        from_deg: section.number("from_deg", &WIND_FROM, reading),
        limit_gust_m_s: section.number("limit_gust_m_s", &GUST_LIMIT, reading),
        edge_coefficient: section.number("edge_coefficient", &COEFFICIENT, reading),
        middle_coefficient: section.number("middle_coefficient", &COEFFICIENT, reading),
        edge_zone_m: section.number("edge_zone_m", &EDGE_ZONE, reading),
    }
}

/// A gust that is written with its unit, or as a force.
fn told_gust(section: &Section<'_>, reading: &mut Reading<'_>) -> Option<(f64, Option<u8>)> {
    let text = section.name("gust", reading)?;
    read_wind_speed(&text)
        .map(|speed| (speed.m_s, speed.force))
        .map_err(|(what, cure)| {
            reading.refuse(section.offset("gust"), format!("`gust`: {what}"), cure);
        })
        .ok()
}

pub(super) fn ballast(section: &Section<'_>, reading: &mut Reading<'_>) -> Weights {
    section.only(&BALLAST_KEYS, reading);
    Weights {
        name: section.name("name", reading),
        weight_kg: section.number("weight_kg", &WEIGHT, reading),
        most_spacing_m: section.number("most_spacing_m", &BALLAST_SPACING, reading),
        in_stock: section.whole("in_stock", &BALLAST_STOCK, reading),
        price_each: section.number("price_each", &PRICE, reading),
    }
}
