//! Reading a trial folder's texts into checked values, for every command that needs them.

use std::path::Path;

use halfgreen_analysis::comparison::Lead;

use crate::area::{Outline, read_csv, read_geojson, read_gpx, read_tape};
use crate::design::{
    BlockBy, DesignKind, Green, GreenShare, Layout, Protocol, ReadProtocol, Seal, plots_to_count,
    read_layout, read_protocol, verify,
};
use crate::intake::{
    BeforeCounts, Check, CheckedCounts, Reading, ReadingsCheck, before_counts, check_counts,
    check_readings, read_events,
};
use crate::judgement::{Case, LEAST_COVERED, as_happened, case_from_trial};
use crate::store::{COUNTS, EVENTS, LAYOUT, SEAL, TRIAL, TrialFolder, read_text};
use crate::table::{Problem, Rule};
use crate::{Error, Warning};

use super::output::Refusal;

/// The protocol of a trial folder.
pub(super) fn protocol(folder: &TrialFolder) -> Result<ReadProtocol, Refusal> {
    Ok(read_protocol(&folder.shown(TRIAL), &folder.text(TRIAL)?)?)
}

/// Its layout.
pub(super) fn layout(folder: &TrialFolder) -> Result<Layout, Refusal> {
    let text = needed(
        folder,
        LAYOUT,
        "Lay the trial out first: `halfgreen layout`.",
    )?;
    Ok(read_layout(&folder.shown(LAYOUT), &text)?)
}

/// Its counts and events, held against protocol and layout.
pub(super) fn check(
    folder: &TrialFolder,
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
pub(super) fn check_turf(
    folder: &TrialFolder,
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
    folder: &TrialFolder,
    protocol: &Protocol,
    layout: &Layout,
) -> Result<Vec<Problem>, Refusal> {
    let Some(events) = folder.optional_text(EVENTS)? else {
        return Ok(Vec::new());
    };
    let read = read_events(&folder.shown(EVENTS), &events, protocol, layout);
    Ok(read.err().unwrap_or_default())
}

/// Text of a file without which there is nothing to do.
fn needed(folder: &TrialFolder, name: &str, cure: &str) -> Result<String, Error> {
    match folder.optional_text(name)? {
        Some(text) => Ok(text),
        None => Err(Error::new(
            folder.shown(name),
            "there is no such file",
            cure,
        )),
    }
}

/// How a test that leads is written into the seal.
pub(super) fn lead_name(lead: Lead) -> &'static str {
    match lead {
        Lead::Randomisation => "randomisation",
        Lead::Model => "model",
    }
}

/// The greens of a trial folder: those the protocol names, or the one outline without a name.
pub(super) fn greens(folder: &TrialFolder, protocol: &Protocol) -> Result<Vec<Green>, Refusal> {
    let named = &protocol.design.arrangement.greens;
    if named.is_empty() {
        let (name, text) = folder.outline()?;
        let outline = read_outline(&folder.shown(name), &text)?;
        return Ok(vec![Green {
            name: None,
            outline,
        }]);
    }
    let read = |share: &GreenShare| -> Result<Green, Refusal> {
        let text = folder.text(&share.outline)?;
        Ok(Green {
            name: Some(share.name.clone()),
            outline: read_outline(&folder.shown(&share.outline), &text)?,
        })
    };
    named.iter().map(read).collect()
}

/// Harmless slips put right in the outlines.
pub(super) fn repairs(greens: &[Green]) -> impl Iterator<Item = Warning> {
    let all = greens.iter().flat_map(|g| &g.outline.repairs);
    all.cloned().map(Warning::from)
}

/// An outline in whichever form a file holds it: told by its ending, and for CSV by its columns.
pub(super) fn outline_file(path: &Path) -> Result<Outline, Refusal> {
    Ok(read_outline(
        &path.display().to_string(),
        &read_text(path)?,
    )?)
}

/// A walked edge is thinned by corners that lie within this of the line through their neighbours:
/// half the width of a mower's wheel, far below what a telephone's position is good for.
const JITTER_M: f64 = 0.05;

fn read_outline(file: &str, text: &str) -> Result<Outline, Vec<Error>> {
    let ending = file.rsplit('.').next().unwrap_or_default().to_lowercase();
    let header = text.lines().next().unwrap_or_default();
    match ending.as_str() {
        "geojson" | "json" => read_geojson(file, text),
        "gpx" => read_gpx(file, text, JITTER_M),
        _ if header.contains("distance_m") => read_tape(file, text),
        _ => read_csv(file, text),
    }
}

/// Counts before treatment of every plot, in the order of their numbers; `None` where there are none.
pub(super) fn before(
    folder: &TrialFolder,
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

/// Blocks that were formed from counts cannot be checked without them.
pub(super) fn no_before_counts(folder: &TrialFolder) -> Error {
    Error::new(
        folder.shown(COUNTS),
        "there are no counts before treatment, from which the blocks of this trial are formed",
        "Restore their lines, or lay the trial out first: `halfgreen layout`.",
    )
}

/// A doubtful line of the counts as a warning.
pub(super) fn caution(problem: &Problem) -> Warning {
    Warning::at("counts", problem.message.clone(), problem.place())
}

/// What differs from the seal. Where blocks were formed from counts before treatment, those on file
/// now are held against those sealed.
fn differences(
    folder: &TrialFolder,
    seal: &Seal,
    protocol: &Protocol,
    greens: &[Green],
    layout: &Layout,
) -> Result<Vec<String>, Refusal> {
    if protocol.design.arrangement.block_by != BlockBy::BeforeCounts {
        return Ok(verify(seal, protocol, greens, layout)?);
    }
    let found = match before(folder, protocol, greens) {
        Ok(Some(found)) => found,
        Ok(None) => return Ok(vec![no_before_counts(folder).to_string()]),
        Err(refusal) => return Ok(refusal.errors.iter().map(ToString::to_string).collect()),
    };
    let mut counted = protocol.clone();
    counted.design.arrangement.before = found.counts;
    Ok(verify(seal, &counted, greens, layout)?)
}

/// What a trial folder holds, read and checked.
#[derive(Debug)]
pub(super) struct Trial {
    pub(super) protocol: Protocol,
    pub(super) layout: Layout,
    pub(super) greens: Vec<Green>,
    pub(super) seal: Option<Seal>,
    pub(super) counts: CheckedCounts,
    pub(super) case: Case,
    /// Seed of sampled allocations.
    pub(super) seed: u64,
}

/// A trial of readings: scores, cover, lengths or steps.
#[derive(Debug)]
pub(super) struct TurfTrial {
    pub(super) protocol: Protocol,
    pub(super) layout: Layout,
    pub(super) greens: Vec<Green>,
    pub(super) seal: Option<Seal>,
    pub(super) readings: Vec<Reading>,
    /// What must be known of the input.
    pub(super) warnings: Vec<Warning>,
    /// Seed of sampled allocations.
    pub(super) seed: u64,
}

/// A whole trial of readings, ready to judge, as [`trial`] is for counts.
pub(super) fn turf_trial(
    folder: &TrialFolder,
    read: ReadProtocol,
    seed: Option<u64>,
) -> Result<TurfTrial, Refusal> {
    let layout = layout(folder)?;
    let greens = greens(folder, &read.protocol)?;
    let check = check_turf(folder, &read.protocol, &layout)?;
    let Some(readings) = check.readings else {
        return Err(faults(check.result.problems));
    };
    let seal = seal(folder)?;
    let seed = seed_of(seed, seal.as_ref(), &read.protocol);
    let mut warnings = read.cautions;
    warnings.extend(repairs(&greens));
    // A plot without a reading is told of when it is left out.
    let problems = check.result.problems.iter();
    let told = problems.filter(|p| p.rule != Rule::PlotNotCounted);
    warnings.extend(told.map(|p| Warning::at("readings", p.message.clone(), p.place())));
    warnings.extend(unlike_seal(
        folder,
        seal.as_ref(),
        &read.protocol,
        &greens,
        &layout,
    )?);
    Ok(TurfTrial {
        protocol: read.protocol,
        layout,
        greens,
        seal,
        readings,
        warnings,
        seed,
    })
}

fn faults(problems: Vec<Problem>) -> Refusal {
    let faults: Vec<_> = problems.into_iter().filter(Problem::is_error).collect();
    faults.into()
}

/// The seed asked for, or that of the draw.
fn seed_of(asked: Option<u64>, seal: Option<&Seal>, protocol: &Protocol) -> u64 {
    asked
        .or(seal.map(|s| s.seed))
        .or(protocol.design.seed)
        .unwrap_or(1)
}

/// How protocol, outline and layout differ from the seal, or that there is none.
fn unlike_seal(
    folder: &TrialFolder,
    seal: Option<&Seal>,
    protocol: &Protocol,
    greens: &[Green],
    layout: &Layout,
) -> Result<Vec<Warning>, Refusal> {
    let place = || folder.shown(SEAL);
    let Some(seal) = seal else {
        let message =
            "the layout is not sealed: nobody can check that it was drawn before the counting";
        return Ok(vec![Warning::at("no-seal", message, place())]);
    };
    let differences = differences(folder, seal, protocol, greens, layout)?.into_iter();
    Ok(differences
        .map(|d| Warning::at("not-as-sealed", d, place()))
        .collect())
}

/// A whole trial, ready to judge. Counts with faults are refused with all of them; a layout or
/// protocol that is not as sealed is judged all the same, and said so.
pub(super) fn trial(folder: &TrialFolder, seed: Option<u64>) -> Result<Trial, Refusal> {
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
    let layout = layout(folder)?;
    let greens = greens(folder, &read.protocol)?;
    let check = check(folder, &read.protocol, &layout)?;
    let Some(counts) = check.counts else {
        return Err(faults(check.result.problems));
    };
    let seal = seal(folder)?;
    let seed = seed_of(seed, seal.as_ref(), &read.protocol);
    let mut case = case_from_trial(&read.protocol, &layout, &counts, seed)?;
    if let Some(text) = folder.optional_text(EVENTS)? {
        let events = read_events(&folder.shown(EVENTS), &text, &read.protocol, &layout)?;
        if read.protocol.design.kind == DesignKind::Crossover && !events.is_empty() {
            let what = "an event names a plot but not its night, so that a crossover is judged as laid out only";
            let place = folder.shown(EVENTS);
            case.warnings
                .push(Warning::at("events-not-judged", what, place));
        } else {
            case.beside.happened =
                as_happened(&case, &read.protocol, &events, LEAST_COVERED).map(Box::new);
        }
    }
    case.warnings.extend(read.cautions);
    case.warnings.extend(repairs(&greens));
    let problems = check.result.problems.iter();
    let untold: Vec<Warning> = problems
        .filter(|p| !left_out(p, &case.warnings))
        .map(caution)
        .collect();
    case.warnings.extend(untold);
    let unlike = unlike_seal(folder, seal.as_ref(), &read.protocol, &greens, &layout)?;
    case.warnings.extend(unlike);
    case.lead = seal.as_ref().and_then(|seal| {
        let mut tests = [Lead::Randomisation, Lead::Model].into_iter();
        tests.find(|l| lead_name(*l) == seal.headline_test)
    });
    Ok(Trial {
        protocol: read.protocol,
        layout,
        greens,
        seal,
        counts,
        case,
        seed,
    })
}

/// Whether the case says already that the plot of this problem is left out.
fn left_out(problem: &Problem, warnings: &[Warning]) -> bool {
    let place = problem.plot.as_ref().map(|p| format!("plot {p}"));
    problem.rule == Rule::PlotNotCounted && warnings.iter().any(|w| w.place == place)
}

/// The seal, if there is one.
pub(super) fn seal(folder: &TrialFolder) -> Result<Option<Seal>, Refusal> {
    let text = folder.optional_text(SEAL)?;
    Ok(text
        .map(|t| Seal::from_toml(&folder.shown(SEAL), &t))
        .transpose()?)
}
