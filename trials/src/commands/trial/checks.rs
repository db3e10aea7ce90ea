//! What was counted or read, held against protocol and layout.

use super::super::Refusal;
use super::needed;
use crate::Warning;
use crate::design::{Green, Layout, Protocol, plots_to_count};
use crate::intake::{
    BeforeCounts, Check, ReadingsCheck, before_counts, check_counts, check_readings, read_events,
};
use crate::store::{COUNTS, EVENTS, TrialFolder};
use crate::table::Problem;

/// Its counts and events, held against protocol and layout.
pub(in crate::commands) fn check(
    folder: &TrialFolder<'_>,
    protocol: &Protocol,
    layout: &Layout,
) -> Result<Check, Refusal> {
    let cure =
        "Write the counts into it, one line for each core: plot,sample,occasion,date,count,note.";
    let counts = needed(folder, COUNTS, cure)?;
    let mut check = check_counts(&folder.shown(COUNTS), &counts, protocol, layout);
    let found = events_at_fault(folder, protocol, layout)?;
    if !found.is_empty() {
        check.result.problems.extend(found);
        check.counts = None;
    }
    Ok(check)
}

/// Its readings and events, held against protocol and layout.
pub(in crate::commands) fn check_turf(
    folder: &TrialFolder<'_>,
    protocol: &Protocol,
    layout: &Layout,
) -> Result<ReadingsCheck, Refusal> {
    let cure = "Write the readings into it, one line for each place read: plot,sample,occasion,date,reading,note.";
    let text = needed(folder, COUNTS, cure)?;
    let mut check = check_readings(&folder.shown(COUNTS), &text, protocol, layout);
    let found = events_at_fault(folder, protocol, layout)?;
    if !found.is_empty() {
        check.result.problems.extend(found);
        check.readings = None;
    }
    Ok(check)
}

/// What is wrong with the events, if there are any.
fn events_at_fault(
    folder: &TrialFolder<'_>,
    protocol: &Protocol,
    layout: &Layout,
) -> Result<Vec<Problem>, Refusal> {
    let Some(events) = folder.optional_text(EVENTS)? else {
        return Ok(Vec::new());
    };
    let read = read_events(&folder.shown(EVENTS), &events, protocol, layout);
    Ok(read.err().unwrap_or_default())
}

/// Counts before treatment of every plot, in the order of their numbers; `None` where there are none.
pub(in crate::commands) fn before(
    folder: &TrialFolder<'_>,
    protocol: &Protocol,
    greens: &[Green],
) -> Result<Option<BeforeCounts>, Refusal> {
    let Some(text) = folder.optional_text(COUNTS)? else {
        return Ok(None);
    };
    let parts = plots_to_count(protocol, greens)?;
    let plots = Layout {
        plots: parts.into_iter().flat_map(|p| p.layout.plots).collect(),
    };
    Ok(before_counts(
        &folder.shown(COUNTS),
        &text,
        protocol,
        &plots,
    )?)
}

/// A doubtful line of the counts as a warning.
pub(in crate::commands) fn caution(problem: &Problem) -> Warning {
    Warning::at("counts", problem.complaint.to_string(), problem.place())
}
