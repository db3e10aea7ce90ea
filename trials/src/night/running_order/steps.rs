//! The night by the clock.

use jiff::ZonedDateTime;

use super::page::RunningOrder;
use crate::text::rounding::figure;
use crate::text::spelling::number;

/// A line of the running order.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Step {
    /// Clock time, or a word where none is known.
    pub(super) when: String,
    /// What is done.
    pub(super) what: String,
    /// How.
    pub(super) how: String,
}

fn step(when: impl Into<String>, what: &str, how: impl Into<String>) -> Step {
    Step {
        when: when.into(),
        what: what.to_owned(),
        how: how.into(),
    }
}

/// Hours and minutes as the site's clocks show them.
fn clock(at: &ZonedDateTime) -> String {
    at.strftime("%H:%M").to_string()
}

/// The steps of a night, in their order.
pub(super) fn steps(of: &RunningOrder<'_>) -> Vec<Step> {
    let table = of.tonight.timetable.as_ref();
    let at = |time: Option<&ZonedDateTime>, word: &str| time.map_or(word.to_owned(), clock);
    let mut all = vec![step(
        at(table.and_then(|t| t.lay_from.as_ref()), "evening"),
        "Lay",
        laying(of),
    )];
    all.push(step(
        at(table.map(|t| &t.down_by), "by dark"),
        "Last weight down",
        weights(of),
    ));
    all.push(step(
        at(table.and_then(|t| t.lift_from.as_ref()), "first light"),
        "Lift",
        "Weights off one strip at a time, then the strip, in the turned order of laying: the sheet on top comes off first. Look for \
         animals before you roll.",
    ));
    if of.sheets.plots > 0 {
        let how = format!(
            "{}: what lies there as each sheet comes off.",
            number(
                usize::try_from(of.sheets.plots).unwrap_or(usize::MAX),
                of.counted
            )
        );
        all.push(step("as it is lifted", "Count", how));
    }
    all.push(step(
        at(table.map(|t| &t.off_by), "sunrise"),
        "Sheets off by",
        "No plastic lies in the sun: turf scorches under it.",
    ));
    if of.sheets.plots > 0 {
        let when = table.map_or_else(
            || "later".to_owned(),
            |t| format!("to {}", clock(&t.late_comers[1])),
        );
        let how =
            "15 and 30 minutes after each sheet came off: new ones only, on lines of their own.";
        all.push(step(when, "Count late comers", how));
    }
    all.push(step(
        "then",
        "Clear",
        "Count every weight and strip back in before players and mowers go on.",
    ));
    all.push(step(
        "by day",
        "Dry",
        "Hang or spread strips off the green, fold them dry, and write down how long each task took in nights.csv.",
    ));
    all
}

fn laying(of: &RunningOrder<'_>) -> String {
    let strips = number(of.sheets.strips.len(), "strip");
    let order = format!(
        "{strips}, 1 to {}, as numbered on the drawing",
        of.sheets.strips.len()
    );
    match of.from {
        Some(from) => format!(
            "{order}. Wind from the {from}: begin at the far side, so that each next sheet, nearer the wind, lies over the last."
        ),
        None => format!("{order}."),
    }
}

fn weights(of: &RunningOrder<'_>) -> String {
    let Some(ballast) = &of.tonight.ballast else {
        return "No gust was told, so that weights are not reckoned.".to_owned();
    };
    let (Some(weights), Some(edge), Some(spacing)) =
        (ballast.weights, ballast.edge_weights, ballast.spacing_m)
    else {
        return ballast.ballast_kg.map_or_else(String::new, |kg| {
            format!("{kg:.0} kg in all along edges and laps; what one weight weighs was not told.")
        });
    };
    let laps = ballast.lap_spacing_m.map_or_else(String::new, |m| {
        format!(", the rest along laps, {} m apart or closer", figure(m))
    });
    format!(
        "{weights} {} in all: {edge} along edges, {} m apart or closer{laps}.",
        of.weight_name,
        figure(spacing)
    )
}
