//! A whole trial, of counts or of readings, ready to judge.

use super::super::Refusal;
use super::happened::{events, events_of_readings, take_events};
use super::sealed::{seed_of, unlike_seal};
use super::{
    caution, check, check_turf, early_counts, early_readings, greens, layout, not_merged,
    outline_files, protocol, repairs, seal, what_was_read,
};
use crate::design::{
    Difference, Green, Layout, Protocol, ReadProtocol, Reporting, Role, Seal, Setting, Supplies,
    headline_of,
};
use crate::intake::{CheckedCounts, Event, Reading, TrialTable};
use crate::report::WhatWasRead;
use crate::store::{COUNTS, TRIAL, TrialFolder};
use crate::table::{Problem, Rule};
use crate::trial_data::{TrialData, data_from_trial};
use crate::{Error, Warning};

/// What a trial folder holds, read and checked.
#[derive(Debug)]
pub(in crate::commands) struct Trial {
    pub(in crate::commands) protocol: Protocol,
    /// Sheet, weights, people and prices.
    pub(in crate::commands) supplies: Supplies,
    /// Whose trial it is and on what ground.
    pub(in crate::commands) setting: Setting,
    pub(in crate::commands) layout: Layout,
    pub(in crate::commands) greens: Vec<Green>,
    pub(in crate::commands) seal: Option<Seal>,
    /// What is not as it was sealed.
    pub(in crate::commands) differences: Vec<Difference>,
    /// What happened to the plots.
    pub(in crate::commands) events: Vec<Event>,
    /// What people wrote for those who read the report.
    pub(in crate::commands) reporting: Reporting,
    pub(in crate::commands) counts: CheckedCounts,
    pub(in crate::commands) data: TrialData,
    /// What of its files was read.
    pub(in crate::commands) read: Vec<WhatWasRead>,
    /// Seed of sampled allocations.
    pub(in crate::commands) seed: u64,
}

/// A trial of readings: scores, cover, lengths or steps.
#[derive(Debug)]
pub(in crate::commands) struct TurfTrial {
    pub(in crate::commands) protocol: Protocol,
    pub(in crate::commands) layout: Layout,
    pub(in crate::commands) greens: Vec<Green>,
    pub(in crate::commands) seal: Option<Seal>,
    /// What is not as it was sealed.
    pub(in crate::commands) differences: Vec<Difference>,
    /// What happened to the plots.
    pub(in crate::commands) events: Vec<Event>,
    /// What people wrote for those who read the report.
    pub(in crate::commands) reporting: Reporting,
    pub(in crate::commands) readings: Vec<Reading>,
    /// What of its files was read.
    pub(in crate::commands) read: Vec<WhatWasRead>,
    /// What must be known of the input.
    pub(in crate::commands) warnings: Vec<Warning>,
    /// Seed of sampled allocations.
    pub(in crate::commands) seed: u64,
}

/// A whole trial, ready to judge. Counts with faults are refused with all of them; a layout or
/// protocol that is not as sealed is judged all the same, and said so.
pub(in crate::commands) fn trial(
    folder: &TrialFolder<'_>,
    seed: Option<u64>,
) -> Result<Trial, Refusal> {
    let read = protocol(folder)?;
    if !read.protocol.response.kind.is_count() {
        let what = "readings are taken in this trial, and this is for counts of animals";
        let cure = "`halfgreen judge` and `halfgreen report` judge readings.";
        return Err(Error::new(
            format!("{} [response] kind", folder.shown(TRIAL)),
            what,
            cure,
        )
        .into());
    }
    let layout = layout(folder, &read.protocol)?;
    let greens = greens(folder, &read.protocol)?;
    let check = check(folder, &read.protocol, &layout)?;
    let seal = seal(folder)?;
    let early = early_counts(folder, &read.protocol, seal.as_ref(), &check);
    let unmerged = not_merged(folder, &read.protocol, &layout, &check);
    let Some(counts) = check.counts else {
        return Err(faults(check.result.problems));
    };
    let made: Vec<&str> = counts
        .observations()
        .iter()
        .map(|o| o.occasion.as_str())
        .collect();
    something_to_judge(folder, &read.protocol, &made)?;
    let seed = seed_of(seed, seal.as_ref(), &read.protocol);
    let mut data = data_from_trial(&read.protocol, &layout, &counts, seed)?;
    let events = events(folder, &read.protocol, &layout)?;
    take_events(folder, &read.protocol, &events, &counts, &mut data);
    data.warnings.extend(read.cautions);
    data.warnings.extend(repairs(&greens));
    let problems = check.result.problems.iter();
    let untold: Vec<Warning> = problems
        .filter(|p| !left_out(p, &data.warnings))
        .map(caution)
        .collect();
    data.warnings.extend(untold);
    data.warnings.extend(unmerged);
    let unlike = unlike_seal(folder, seal.as_ref(), &read.protocol, &greens, &layout);
    data.warnings.extend(unlike.warnings);
    data.warnings.extend(early);
    // The design decides, whatever the seal says.
    data.primary_test = Some(headline_of(&read.protocol, &layout)?);
    Ok(Trial {
        read: what_was_read(
            folder,
            &outline_files(folder, &read.protocol)?,
            read.settings,
            TrialTable::Counts,
        )?,
        protocol: read.protocol,
        supplies: read.supplies,
        setting: read.setting,
        layout,
        greens,
        seal,
        differences: unlike.differences,
        events,
        reporting: read.reporting,
        counts,
        data,
        seed,
    })
}

/// A whole trial of readings, ready to judge, as [`trial`] is for counts.
pub(in crate::commands) fn turf_trial(
    folder: &TrialFolder<'_>,
    read: ReadProtocol,
    seed: Option<u64>,
) -> Result<TurfTrial, Refusal> {
    let layout = layout(folder, &read.protocol)?;
    let greens = greens(folder, &read.protocol)?;
    let check = check_turf(folder, &read.protocol, &layout)?;
    let seal = seal(folder)?;
    let early = early_readings(folder, &read.protocol, seal.as_ref(), &check);
    let Some(readings) = check.readings else {
        return Err(faults(check.result.problems));
    };
    let made: Vec<&str> = readings.iter().map(|r| r.occasion.as_str()).collect();
    something_to_judge(folder, &read.protocol, &made)?;
    let seed = seed_of(seed, seal.as_ref(), &read.protocol);
    let mut warnings = read.cautions;
    warnings.extend(repairs(&greens));
    let events = events(folder, &read.protocol, &layout)?;
    warnings.extend(events_of_readings(folder, &events));
    // A plot without a reading is told of when it is left out.
    let problems = check.result.problems.iter();
    let told = problems.filter(|p| p.rule != Rule::PlotNotCounted);
    warnings.extend(told.map(|p| Warning::at("readings", p.complaint.to_string(), p.place())));
    let unlike = unlike_seal(folder, seal.as_ref(), &read.protocol, &greens, &layout);
    warnings.extend(unlike.warnings);
    warnings.extend(early);
    Ok(TurfTrial {
        read: what_was_read(
            folder,
            &outline_files(folder, &read.protocol)?,
            read.settings,
            TrialTable::Readings,
        )?,
        protocol: read.protocol,
        layout,
        greens,
        seal,
        differences: unlike.differences,
        events,
        reporting: read.reporting,
        readings,
        warnings,
        seed,
    })
}

/// Refuses a trial nothing of which is counted on the occasion that decides; `made` are the occasions of all counts.
fn something_to_judge(
    folder: &TrialFolder<'_>,
    protocol: &Protocol,
    made: &[&str],
) -> Result<(), Error> {
    let mains = || protocol.occasions.iter().filter(|o| o.role == Role::Main);
    if mains().any(|o| made.contains(&o.name.as_str())) {
        return Ok(());
    }
    let names: Vec<String> = mains().map(|o| format!("\"{}\"", o.name)).collect();
    Err(Error::new(
        folder.shown(COUNTS),
        format!(
            "no plot is counted on the main occasion ({}), so that there is nothing to judge yet",
            names.join(", ")
        ),
        "Count the plots on it and add the lines; `halfgreen check` says what is missing.",
    ))
}

fn faults(problems: Vec<Problem>) -> Refusal {
    let faults: Vec<_> = problems.into_iter().filter(Problem::is_error).collect();
    faults.into()
}

/// Whether the trial data say already that the plot of this problem is left out.
fn left_out(problem: &Problem, warnings: &[Warning]) -> bool {
    let place = problem.plot.as_ref().map(|p| format!("plot {p}"));
    problem.rule == Rule::PlotNotCounted && warnings.iter().any(|w| w.place == place)
}
