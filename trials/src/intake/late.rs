//! Events that came too late to touch the count.

use jiff::civil::Date;

use super::{Event, Observation};
use crate::design::{Protocol, Role};
use crate::table::{Complaint, Problem, Rule};

/// The day on which a plot was counted last on the occasion that decides: as written, else as planned.
#[must_use]
pub fn counted_on(protocol: &Protocol, observations: &[Observation], plot: &str) -> Option<Date> {
    let main = protocol.occasions.iter().find(|o| o.role == Role::Main)?;
    let on_main = observations
        .iter()
        .filter(|o| o.plot == plot && o.occasion == main.name);
    on_main.filter_map(|o| o.date).max().or(main.date)
}

/// Events dated after the count of their plot, each told in its line; `file` is the name of the events in complaints. Later
/// counts may still be touched by them, and so they are no fault.
#[must_use]
pub fn late_events(
    file: &str,
    events: &[Event],
    protocol: &Protocol,
    observations: &[Observation],
) -> Vec<Problem> {
    let late = events.iter().filter_map(|event| {
        let counted = counted_on(protocol, observations, &event.plot);
        let (happened, counted) = event.date.zip(counted)?;
        (happened > counted).then_some((event, happened, counted))
    });
    late.map(|(event, happened, counted)| {
        let what = format!(
            "plot {}: \"{}\" is dated {happened}, and the plot was counted on {counted}, so that it cannot have touched that count",
            event.plot, event.event
        );
        let late = Complaint::new(what, "Correct the date if it is a slip.");
        let problem = Problem::at(file, event.line, event.column, Rule::LateEvent, late);
        problem.of_plot(&event.plot)
    })
    .collect()
}
