//! What happened to the plots, and what of it touches the counts.

use super::super::Refusal;
use crate::Warning;
use crate::design::{Layout, Protocol};
use crate::intake::{CheckedCounts, Event, counted_on, read_events};
use crate::judgement::{LEAST_COVERED, as_treated};
use crate::store::{EVENTS, TrialFolder};
use crate::trial_data::TrialData;

/// Sets the trial as treated beside the trial as laid out, and tells of every event that is no part of it.
pub(super) fn take_events(
    folder: &TrialFolder<'_>,
    protocol: &Protocol,
    events: &[Event],
    counts: &CheckedCounts,
    data: &mut TrialData,
) {
    if events.is_empty() {
        return;
    }
    if protocol.design.kind.facts().over_nights() {
        let what = "an event names a plot but not its night, so that a crossover is judged as laid out only";
        data.warnings
            .push(Warning::at("events-not-judged", what, folder.shown(EVENTS)));
        return;
    }
    let counted_on = |plot: &str| counted_on(protocol, counts.observations(), plot);
    let second = as_treated(data, protocol, events, LEAST_COVERED, counted_on);
    data.secondary.as_treated = second.map(Box::new);
    let late = |e: &&Event| e.after(counted_on(&e.plot));
    let told = [
        (
            "events-after-the-count",
            told(events.iter().filter(late)),
            "dated after the plot was counted, so that it cannot have touched the count",
        ),
        (
            "events-noted",
            told(events.iter().filter(|e| e.covered_fraction.is_none())),
            "noted, but says nothing of how far the plot was covered, so that no plot changes sides by it",
        ),
    ];
    for (code, what, why) in told.into_iter().filter(|(_, what, _)| !what.is_empty()) {
        let message = format!("of what happened: {what}: {why}");
        data.warnings
            .push(Warning::at(code, message, folder.shown(EVENTS)));
    }
}

/// That events enter no comparison of readings.
pub(super) fn events_of_readings(folder: &TrialFolder<'_>, events: &[Event]) -> Option<Warning> {
    let what = "what happened to plots is told, but readings are judged as laid out only";
    let place = || folder.shown(EVENTS);
    (!events.is_empty()).then(|| Warning::at("events-not-judged", what, place()))
}

/// What happened to the plots, in the order of the file.
pub(super) fn events(
    folder: &TrialFolder<'_>,
    protocol: &Protocol,
    layout: &Layout,
) -> Result<Vec<Event>, Refusal> {
    match folder.optional_text(EVENTS)? {
        Some(text) => Ok(read_events(&folder.shown(EVENTS), &text, protocol, layout)?),
        None => Ok(Vec::new()),
    }
}

/// "plot 3 (flood, 2026-09-20), plot 5 (birds)".
fn told<'e>(events: impl Iterator<Item = &'e Event>) -> String {
    let each: Vec<String> = events
        .map(|e| {
            let day = e.date.map_or(String::new(), |day| format!(", {day}"));
            format!("plot {} ({}{day})", e.plot, e.event)
        })
        .collect();
    each.join(", ")
}
