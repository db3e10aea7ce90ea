//! What there is to cover with, when, how fast, at which price, and what it is worth.

use jiff::civil::Date;

use crate::design::reader::{Reading, Section, TrialFile};
use crate::night::takeoff::RollSize;
use crate::ranges::season::{
    EDGE, EXTRA, HOURS, HOURS_EACH, LAP, LIFE, NIGHTS, OWNED, PEOPLE, PRICE, RATE, ROLL_LENGTH,
    ROLL_WIDTH, WORTH,
};

/// The sheet there is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sheet {
    /// Square metres.
    pub owned_m2: f64,
    /// Share of the area covered that laps and edges take besides.
    pub extra: f64,
    /// The roll it is cut from, by which sheet for greens with an outline is taken off; `extra` serves the others.
    pub roll: Option<RollSize>,
    /// Price of a square metre more.
    pub price_per_m2: Option<f64>,
    /// Nights that a sheet lasts.
    pub life_nights: Option<f64>,
}

/// A night.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Night {
    /// Its date.
    pub date: Option<Date>,
    /// People.
    pub people: u64,
    /// Hours that each of them works.
    pub hours: f64,
}

impl Night {
    /// Hours of all people together.
    #[must_use]
    pub fn person_hours(&self) -> f64 {
        self.people as f64 * self.hours
    }
}

/// How fast people work.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Work {
    /// Sheet laid, lifted and cleared by one person in an hour, square metres.
    pub m2_per_person_hour: f64,
    /// Person-hours for each piece of ground besides.
    pub hours_per_piece: f64,
}

/// What it is worth to the user.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Worth {
    /// A thousand larvae less.
    pub per_1000_larvae: Option<f64>,
    /// A green rid of all its larvae; part of them is worth that part.
    pub per_green: Option<f64>,
    /// Money there is.
    pub budget: Option<f64>,
}

/// Keys of the roll.
const ROLL: [&str; 4] = ["roll_length_m", "roll_width_m", "lap_m", "edge_m"];

/// The sheet.
pub(super) fn sheet(parts: &TrialFile<'_>, reading: &mut Reading<'_>) -> Option<Sheet> {
    let section = parts.section("sheet", reading);
    section.only(
        &[
            &ROLL[..],
            &["owned_m2", "extra_percent", "price_per_m2", "life_nights"],
        ]
        .concat(),
        reading,
    );
    for (key, cure) in [
        (
            "owned_m2",
            "Write how many square metres of sheet there are.",
        ),
        (
            "extra_percent",
            "Write how much more sheet than ground laps and edges take, such as 15.",
        ),
    ] {
        if !section.has(key) {
            section.missing(key, cure, reading);
        }
    }
    let owned = section.number("owned_m2", &OWNED, reading);
    let extra = section.number("extra_percent", &EXTRA, reading);
    let price_per_m2 = section.number("price_per_m2", &PRICE.named("price_per_m2"), reading);
    let life_nights = section.number("life_nights", &LIFE, reading);
    let roll = roll(&section, reading);
    Some(Sheet {
        roll,
        owned_m2: owned?,
        extra: extra? / 100.0,
        price_per_m2,
        life_nights,
    })
}

/// The roll, of which all four sizes are needed or none.
fn roll(section: &Section<'_>, reading: &mut Reading<'_>) -> Option<RollSize> {
    let given: Vec<&str> = ROLL.into_iter().filter(|key| section.has(key)).collect();
    let first = given.first()?;
    for key in ROLL.into_iter().filter(|key| !given.contains(key)) {
        section.missing(
            key,
            "A roll needs its length, width, lap and edge.",
            reading,
        );
    }
    let length = section.number("roll_length_m", &ROLL_LENGTH, reading);
    let width = section.number("roll_width_m", &ROLL_WIDTH, reading);
    let lap = section.number("lap_m", &LAP, reading);
    let edge = section.number("edge_m", &EDGE, reading);
    let at = section.offset(first);
    let size = RollSize::new(&reading.place(at), [length?, width?], lap?, edge?);
    size.map_err(|fault| reading.complaints.push((at, fault)))
        .ok()
}

/// The nights: so many alike, or one by one.
pub(super) fn nights(parts: &TrialFile<'_>, reading: &mut Reading<'_>) -> Vec<Night> {
    let alike = parts.section("nights", reading);
    let each = parts.list("night", reading);
    if alike.table.is_some() && !each.is_empty() {
        reading.refuse(
            alike.at,
            "[nights] stands beside [[night]]",
            "Leave one of them out.",
        );
        return Vec::new();
    }
    if each.is_empty() {
        alike.only(&["number", "people", "hours"], reading);
        if !alike.has("number") {
            alike.missing(
                "number",
                "Write how many nights there are, or each under [[night]].",
                reading,
            );
        }
        let number = alike
            .whole("number", &NIGHTS, reading)
            .and_then(|n| usize::try_from(n).ok());
        let night = people_and_hours(&alike, None, reading);
        return match (night, number) {
            (Some(night), Some(number)) => vec![night; number],
            _ => Vec::new(),
        };
    }
    if !NIGHTS.holds_whole(each.len() as u64) {
        let what = format!("[[night]]: {}", NIGHTS.fault(&each.len().to_string()));
        reading.refuse(each[0].at, what, "Leave some out.");
    }
    let mut nights: Vec<Night> = Vec::new();
    for section in &each {
        section.only(&["date", "people", "hours"], reading);
        let date = section.date("date", reading);
        if let (Some(date), Some(before)) = (date, nights.last().and_then(|n| n.date))
            && date <= before
        {
            let what = format!("{date} does not come after {before}");
            reading.refuse(
                section.offset("date"),
                what,
                "Put the nights in order, each once.",
            );
        }
        nights.extend(people_and_hours(section, date, reading));
    }
    nights
}

fn people_and_hours(
    section: &Section<'_>,
    date: Option<Date>,
    reading: &mut Reading<'_>,
) -> Option<Night> {
    for (key, cure) in [
        ("people", "Write how many people there are."),
        (
            "hours",
            "Write how many hours each of them works, evening and morning together.",
        ),
    ] {
        if !section.has(key) {
            section.missing(key, cure, reading);
        }
    }
    let people = section.whole("people", &PEOPLE, reading);
    let hours = section.number("hours", &HOURS, reading);
    Some(Night {
        date,
        people: people?,
        hours: hours?,
    })
}

/// How fast people work: the user's own rate, because no source has one.
pub(super) fn work(parts: &TrialFile<'_>, reading: &mut Reading<'_>) -> Option<Work> {
    let section = parts.section("work", reading);
    section.only(&["m2_per_person_hour", "hours_per_piece"], reading);
    if !section.has("m2_per_person_hour") {
        let cure =
            "Write how much sheet one person lays, lifts and clears in an hour: time one green.";
        section.missing("m2_per_person_hour", cure, reading);
    }
    let each = section.number("hours_per_piece", &HOURS_EACH, reading);
    Some(Work {
        m2_per_person_hour: section.number("m2_per_person_hour", &RATE, reading)?,
        hours_per_piece: each.unwrap_or(0.0),
    })
}

/// Price of a person's hour.
pub(super) fn person_hour(parts: &TrialFile<'_>, reading: &mut Reading<'_>) -> Option<f64> {
    let section = parts.section("cost", reading);
    section.only(&["person_hour"], reading);
    section.number("person_hour", &PRICE.named("person_hour"), reading)
}

/// What it is worth to the user.
pub(super) fn worth(parts: &TrialFile<'_>, reading: &mut Reading<'_>) -> Worth {
    let section = parts.section("worth", reading);
    section.only(&["per_1000_larvae", "per_green", "budget"], reading);
    if section.has("per_1000_larvae") && section.has("per_green") {
        let what =
            "`per_green` stands beside `per_1000_larvae`: both say what fewer larvae are worth";
        reading.refuse(section.offset("per_green"), what, "Leave one of them out.");
    }
    Worth {
        per_1000_larvae: section.number("per_1000_larvae", &WORTH, reading),
        per_green: section.number("per_green", &WORTH, reading),
        budget: section.number("budget", &WORTH, reading),
    }
}
