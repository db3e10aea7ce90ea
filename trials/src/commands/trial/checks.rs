//! What was counted or read, held against protocol and layout.

use std::collections::BTreeSet;

use super::super::Refusal;
use crate::design::{Green, Layout, Protocol, plots_to_count};
use crate::intake::{self, Observation};
use crate::intake::{
    BeforeCounts, Check, ReadingsCheck, before_counts, check_counts, check_readings, read_events,
};
use crate::store::{COUNTS, COUNTS_MERGED, COUNTS_XLSX, EVENTS, TrialFolder};
use crate::table::Problem;
use crate::{Error, Warning};

/// Name and text of its counts: `counts.csv`, or else a workbook; none where there is neither.
pub(in crate::commands) fn counts_of(
    folder: &TrialFolder<'_>,
) -> Result<Option<(String, String)>, Refusal> {
    let found = folder.counts()?;
    Ok(found.map(|(name, text)| (folder.shown(name), text)))
}

/// Its counts, which must be there.
fn counts_needed(folder: &TrialFolder<'_>, cure: &str) -> Result<(String, String), Refusal> {
    match counts_of(folder)? {
        Some(found) => Ok(found),
        None => Err(Error::new(folder.shown(COUNTS), "there is no such file", cure).into()),
    }
}

/// Its counts and events, held against protocol and layout.
pub(in crate::commands) fn check(
    folder: &TrialFolder<'_>,
    protocol: &Protocol,
    layout: &Layout,
) -> Result<Check, Refusal> {
    let cure =
        "Write the counts into it, one line for each core: plot,sample,occasion,date,count,note.";
    let (shown, counts) = counts_needed(folder, cure)?;
    let mut check = check_counts(&shown, &counts, protocol, layout);
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
    let (shown, text) = counts_needed(folder, cure)?;
    let mut check = check_readings(&shown, &text, protocol, layout);
    let found = events_at_fault(folder, protocol, layout)?;
    if !found.is_empty() {
        check.result.problems.extend(found);
        check.readings = None;
    }
    Ok(check)
}

/// Events dated after the count that they would touch.
pub(in crate::commands) fn late_events(
    folder: &TrialFolder<'_>,
    protocol: &Protocol,
    layout: &Layout,
    check: &Check,
) -> Result<Vec<Problem>, Refusal> {
    let Some((text, counts)) = folder.optional_text(EVENTS)?.zip(check.counts.as_ref()) else {
        return Ok(Vec::new());
    };
    let shown = folder.shown(EVENTS);
    let events = read_events(&shown, &text, protocol, layout).unwrap_or_default();
    Ok(intake::late_events(
        &shown,
        &events,
        protocol,
        counts.observations(),
    ))
}

/// That other files of the folder hold counts which the trial's own lacks: they are not judged.
pub(in crate::commands) fn not_merged(
    folder: &TrialFolder<'_>,
    protocol: &Protocol,
    layout: &Layout,
    check: &Check,
) -> Vec<Warning> {
    let Some(counts) = check.counts.as_ref().filter(|_| folder.has(COUNTS)) else {
        // Without `counts.csv` the workbook is what is judged.
        return Vec::new();
    };
    let has: BTreeSet<_> = counts.observations().iter().map(Observation::of).collect();
    let own = folder.shown(COUNTS);
    let others = [COUNTS_MERGED, COUNTS_XLSX]
        .into_iter()
        .filter(|name| folder.has(name));
    let told = others.filter_map(|name| {
        let shown = folder.shown(name);
        let text = folder.optional_table(name).ok().flatten();
        let other = text.map(|text| check_counts(&shown, &text, protocol, layout));
        let Some(other) = other.and_then(|check| check.counts) else {
            let what = format!("{shown} cannot be read as counts of this trial, and is not looked at");
            return Some(Warning::at("counts-not-merged", what, shown));
        };
        let lacking = |o: &&Observation| !has.contains(&o.of());
        let lacks = other.observations().iter().filter(lacking).count();
        let counts = if lacks == 1 { "count" } else { "counts" };
        let what = format!(
            "{shown} holds {lacks} {counts} that {own} lacks: only {own} is judged. If they belong to the trial, put the merged \
             file in its place (`halfgreen check` with further files makes one)"
        );
        (lacks > 0).then(|| Warning::at("counts-not-merged", what, shown))
    });
    told.collect()
}

/// What is wrong with the events, if there are any.
pub(in crate::commands) fn events_at_fault(
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
    let Some((shown, text)) = counts_of(folder)? else {
        return Ok(None);
    };
    let parts = plots_to_count(protocol, greens)?;
    let plots = Layout {
        plots: parts.into_iter().flat_map(|p| p.layout.plots).collect(),
    };
    Ok(before_counts(&shown, &text, protocol, &plots)?)
}

/// A doubtful line of the counts as a warning.
pub(in crate::commands) fn caution(problem: &Problem) -> Warning {
    Warning::at("counts", problem.complaint.to_string(), problem.place())
}
