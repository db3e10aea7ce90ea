//! The night in words.

use super::super::Words;
use super::night::Night;
use crate::design::Supplies;
use crate::night::tonight::Clock;
use crate::text::rounding::{figure, plain};

/// What weights are called that have no name.
pub(super) const WEIGHTS: &str = "weights";

/// Adds what the night takes.
pub(super) fn tell(words: &mut Words, night: &Night, supplies: &Supplies) {
    let lines: Vec<String> = [
        weights(night, supplies),
        people(night, supplies),
        clock(night),
        stages(night),
    ]
    .into_iter()
    .flatten()
    .collect();
    if !lines.is_empty() {
        words.section("The night:", lines);
    }
}

fn weights(night: &Night, supplies: &Supplies) -> Option<String> {
    let ballast = night.tonight.ballast.as_ref()?;
    let lift = format!(
        "Gusts to {} m/s press with {} Pa and lift {} N/m2 along edges, {} N/m2 in the middle",
        figure(ballast.gust_m_s),
        figure(ballast.pressure_pa),
        figure(ballast.uplift_n_per_m2),
        figure(ballast.middle_uplift_n_per_m2)
    );
    if !ballast.tonight {
        return Some(format!(
            "NOT TONIGHT: {} m/s is above the limit of {} m/s. {lift}.",
            figure(ballast.gust_m_s),
            figure(ballast.limit_gust_m_s)
        ));
    }
    let name = supplies.ballast.name.as_deref().unwrap_or(WEIGHTS);
    let taken = match (ballast.weights, ballast.weight_kg, ballast.spacing_m) {
        (Some(weights), Some(kg), Some(spacing)) => {
            let laps = ballast
                .lap_spacing_m
                .map_or_else(String::new, |m| format!(", along laps {} m", figure(m)));
            let short = match night.tonight.weights_short {
                Some(short) if short > 0 => format!("; {short} are still to get"),
                _ => String::new(),
            };
            format!(
                "{weights} {name} of {} kg, along edges {} m apart or closer{laps}{short}",
                plain(kg),
                figure(spacing)
            )
        }
        _ => format!(
            "{} kg in all",
            figure(ballast.ballast_kg.unwrap_or_default())
        ),
    };
    Some(format!(
        "{lift}: {taken}. An estimate for planning, not an engineer's design."
    ))
}

fn people(night: &Night, supplies: &Supplies) -> Option<String> {
    let crew = &night.tonight.crew;
    let hours = crew.hours?;
    let likely = match (crew.hours_low, crew.hours_high) {
        (Some(low), Some(high)) => {
            format!(" (likely between {} and {})", figure(low), figure(high))
        }
        _ => String::new(),
    };
    let currency = supplies.cost.currency.as_deref().unwrap_or_default();
    let cost = crew.cost.map_or_else(String::new, |cost| {
        format!(", {cost:.2} {currency}").trim_end().to_owned()
    });
    let needed = match (crew.people, crew.people_needed) {
        (Some(people), Some(needed)) => format!("; {people} come, it takes {needed}"),
        (Some(people), None) => format!("; {people} come"),
        _ => String::new(),
    };
    Some(format!(
        "{} person-hours{likely}{cost}{needed}.",
        figure(hours)
    ))
}

fn clock(night: &Night) -> Option<String> {
    let clock: &Clock = night.tonight.clock.as_ref()?;
    let off = clock.sheets_off_by.as_ref()?;
    let at = |moment: &String| moment.get(11..16).unwrap_or(moment).to_owned();
    let down = clock.down_by.as_ref().map(&at)?;
    let lay = clock
        .lay_from
        .as_ref()
        .map_or_else(String::new, |m| format!("lay from {}, ", at(m)));
    let lift = clock
        .lift_from
        .as_ref()
        .map_or_else(String::new, |m| format!("lift from {}, ", at(m)));
    Some(format!(
        "Night of {}: {lay}last weight down by {down}, {lift}sheets off by {} (clocks of {}).",
        clock.date,
        at(off),
        clock.time_zone
    ))
}

fn stages(night: &Night) -> Option<String> {
    let found = night.emergence?;
    let share = found.share?;
    Some(format!(
        "{} of {} counted had left the larval stage already ({:.0} %, likely between {:.0} and {:.0} %).",
        found.emerged,
        found.larvae + found.emerged,
        100.0 * share,
        100.0 * found.low,
        100.0 * found.high
    ))
}
