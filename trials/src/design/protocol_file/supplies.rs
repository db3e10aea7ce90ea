//! Sheets, wind, crew and prices: what the night needs, kept for the commands that order it.

use serde::Serialize;

use super::file::TrialFile;
use super::section::{Reading, Section};
use crate::ranges::protocol::{
    GUST, LAP, PEOPLE, PRICE, ROLL_LENGTH, ROLL_WIDTH, SHEET_EDGE, STOCK, WIND_FROM,
};

/// What the club has and pays. Nothing here changes how a trial is judged.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
pub struct Supplies {
    /// Sorts of sheet, in file order.
    pub rolls: Vec<Roll>,
    /// Wind to hold the sheets against.
    pub wind: Option<Wind>,
    /// People on the night.
    pub people: Option<u64>,
    /// Prices, in the club's own currency.
    pub cost: Cost,
}

/// One sort of sheet on the roll.
#[derive(Debug, Clone, PartialEq, Serialize)]
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
}

/// Wind expected while sheets lie.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Wind {
    /// Gust, metres per second.
    pub gust_m_s: f64,
    /// Where it comes from, degrees clockwise from north.
    pub from_deg: Option<f64>,
}

/// Prices, each absent where unknown.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
pub struct Cost {
    /// Of preparing one plot.
    pub plot: Option<f64>,
    /// Of taking and counting one core.
    pub core: Option<f64>,
    /// Of one person for one hour.
    pub person_hour: Option<f64>,
    /// Name of the currency.
    pub currency: Option<String>,
}

const ROLL_KEYS: [&str; 8] = [
    "name",
    "roll_length_m",
    "roll_width_m",
    "lap_m",
    "edge_m",
    "opaque",
    "in_stock_m2",
    "price_per_roll",
];

/// Whether a setting is kept for ordering material, which no command does yet. A sheet's `edge_m` is held against the
/// guard, and prices are those of the next trial.
pub(super) fn for_ordering(line: &str) -> bool {
    match line.split_once(' ') {
        Some(("[sheet]" | "[[roll]]", key)) => key != "edge_m",
        Some(("[wind]" | "[crew]", _)) => true,
        _ => false,
    }
}

/// Reads `[sheet]`, `[[roll]]`, `[wind]`, `[crew]` and `[cost]`, all of them optional.
pub(super) fn supplies(file: &TrialFile<'_>, reading: &mut Reading<'_>) -> Supplies {
    let sheet = file.section("sheet", reading);
    let mut rolls = file.list("roll", reading);
    if sheet.table.is_some() {
        rolls.insert(0, sheet);
    }
    let rolls = rolls.iter().map(|s| roll(s, reading)).collect();
    let wind = wind(&file.section("wind", reading), reading);
    let crew = file.section("crew", reading);
    crew.only(&["people"], reading);
    let people = crew.whole("people", &PEOPLE, reading);
    let cost = cost(&file.section("cost", reading), reading);
    Supplies {
        rolls,
        wind,
        people,
        cost,
    }
}

fn roll(section: &Section<'_>, reading: &mut Reading<'_>) -> Roll {
    section.only(&ROLL_KEYS, reading);
    Roll {
        name: section.name("name", reading),
        roll_length_m: section.number("roll_length_m", &ROLL_LENGTH, reading),
        roll_width_m: section.number("roll_width_m", &ROLL_WIDTH, reading),
        lap_m: section.number("lap_m", &LAP, reading),
        edge_m: section.number("edge_m", &SHEET_EDGE, reading),
        opaque: section.flag("opaque", reading),
        in_stock_m2: section.number("in_stock_m2", &STOCK, reading),
        price_per_roll: section.number("price_per_roll", &PRICE, reading),
    }
}

fn wind(section: &Section<'_>, reading: &mut Reading<'_>) -> Option<Wind> {
    section.table?;
    section.only(&["gust_m_s", "from_deg"], reading);
    let from_deg = section.number("from_deg", &WIND_FROM, reading);
    if !section.has("gust_m_s") {
        section.missing(
            "gust_m_s",
            "Write the forecast gust in metres per second.",
            reading,
        );
    }
    let gust_m_s = section.number("gust_m_s", &GUST, reading)?;
    Some(Wind { gust_m_s, from_deg })
}

fn cost(section: &Section<'_>, reading: &mut Reading<'_>) -> Cost {
    section.only(&["plot", "core", "person_hour", "currency"], reading);
    Cost {
        plot: section.number("plot", &PRICE, reading),
        core: section.number("core", &PRICE, reading),
        person_hour: section.number("person_hour", &PRICE, reading),
        currency: section.name("currency", reading),
    }
}
