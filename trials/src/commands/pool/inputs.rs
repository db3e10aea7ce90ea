//! Everything that is named to be pooled: folders are judged, results and tables of effects are read. What cannot be used is
//! listed and stops nothing.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use rayon::prelude::*;

use super::super::trial::{facts, trial};
use super::super::{Refusal, Surroundings};
use super::{Request, archived, counts};
use crate::association::{
    LeftOut, TrialEffect, TrialFacts, kept_effects, read_effects, trial_effects,
};
use crate::design::NOT_AS_SEALED;
use crate::judgement::judge;
use crate::progress::tell;
use crate::ranges::tables::POOLED_TRIALS;
use crate::store::{Entry, RESULTS, TRIAL, TrialFolder};
use crate::text::spelling::number;
use crate::trial_data::TrialData;
use crate::{Error, Warning};

/// The table of effects that `pool --out` and archives leave in a folder.
const EFFECTS: &str = "effects.csv";

/// Trials that are judged side by side before progress is told.
const AT_ONCE: usize = 16;

/// What was read.
#[derive(Debug, Default)]
pub(super) struct Read {
    pub(super) effects: Vec<TrialEffect>,
    pub(super) left_out: Vec<LeftOut>,
    pub(super) warnings: Vec<Warning>,
}

/// A trial that waits to be judged.
pub(super) struct Waiting {
    pub(super) data: TrialData,
    pub(super) seed: u64,
    pub(super) facts: TrialFacts,
}

/// One thing that was named, read: effects at once, or trials that wait.
pub(super) enum Named {
    Effects(Vec<TrialEffect>),
    Waiting(Box<Waiting>),
}

/// Reads all that is named, in its order, and judges what must be judged.
pub(super) fn read(request: &Request, at: &Surroundings<'_>) -> Result<Read, Refusal> {
    let mut read = Read::default();
    let mut named = Vec::new();
    for file in &request.files {
        let found = if request.count.is_some() {
            counts::trials(file, request, at, &mut read.left_out)
        } else {
            one(file, request, at, &mut read)
        };
        take(found, file, &mut named, &mut read.left_out)?;
    }
    if let Some(file) = &request.effects {
        let found = table(file, at, &mut read);
        take(found, file, &mut named, &mut read.left_out)?;
    }
    let trials: usize = (named.iter())
        .map(|n| match n {
            Named::Effects(effects) => effects.len(),
            Named::Waiting(_) => 1,
        })
        .sum();
    if trials > 0 && !POOLED_TRIALS.holds_whole(trials as u64) {
        let found = format!("there are {trials}");
        return Err(POOLED_TRIALS
            .refuse("the trials", &found, "Pool them by seasons.")
            .into());
    }
    judged(named, at, &mut read)?;
    Ok(read)
}

/// Takes what was found; what is wrong with it is listed, unless it is the request that is at fault.
fn take(
    found: Result<Vec<Named>, Refusal>,
    file: &Path,
    named: &mut Vec<Named>,
    left_out: &mut Vec<LeftOut>,
) -> Result<(), Refusal> {
    match found {
        Ok(more) => named.extend(more),
        Err(refusal) if refusal.errors.iter().any(|e| e.field.is_some()) => return Err(refusal),
        Err(refusal) => left_out.push(listed(&file.display().to_string(), refusal)),
    }
    Ok(())
}

/// A refusal as one line of the list: its first fault, and how many there are beside.
pub(super) fn listed(place: &str, refusal: Refusal) -> LeftOut {
    let more = refusal.errors.len().saturating_sub(1);
    let first = refusal.errors.into_iter().next();
    let mut left = first.map_or_else(
        || LeftOut {
            place: place.to_owned(),
            reason: "it cannot be read.".to_owned(),
        },
        LeftOut::from,
    );
    if more > 0 {
        left.reason = format!("{} ({} more here)", left.reason, number(more, "fault"));
    }
    left
}

/// A folder, an archive, results, or a table of effects.
fn one(
    path: &Path,
    request: &Request,
    at: &Surroundings<'_>,
    read: &mut Read,
) -> Result<Vec<Named>, Refusal> {
    match at.sources.entry(path) {
        Entry::File
            if path
                .extension()
                .is_some_and(|e| e.eq_ignore_ascii_case("json")) =>
        {
            results(path, at)
        }
        Entry::File => table(path, at, read),
        _ if at.sources.entry(&path.join(TRIAL)) == Entry::File => folder(path, request, at),
        _ if archived::is_archive(path, at) => archived::effects(path, at, read),
        _ if at.sources.entry(&path.join(EFFECTS)) == Entry::File => {
            table(&path.join(EFFECTS), at, read)
        }
        _ => folder(path, request, at),
    }
}

/// A trial folder.
fn folder(path: &Path, request: &Request, at: &Surroundings<'_>) -> Result<Vec<Named>, Refusal> {
    let folder = TrialFolder::open(at.sources, path)?;
    let trial = trial(&folder, request.seed)?;
    let facts = facts(&folder, &trial);
    Ok(vec![Named::Waiting(Box::new(Waiting {
        data: trial.data,
        seed: trial.seed,
        facts,
    }))])
}

/// A table of effects.
pub(super) fn table(
    path: &Path,
    at: &Surroundings<'_>,
    read: &mut Read,
) -> Result<Vec<Named>, Refusal> {
    let text = at.sources.table(path)?;
    let found = read_effects(&path.display().to_string(), &text)?;
    read.left_out.extend(found.left_out);
    Ok(vec![Named::Effects(found.effects)])
}

/// Results that `judge` kept, called by the trial's folder.
fn results(path: &Path, at: &Surroundings<'_>) -> Result<Vec<Named>, Refusal> {
    let shown = path.display().to_string();
    let folder = path.ends_with(RESULTS).then(|| {
        let above = path
            .ancestors()
            .nth(Path::new(RESULTS).components().count());
        above.map_or_else(PathBuf::new, Path::to_path_buf)
    });
    let beside = folder.as_deref().filter(|f| *f != Path::new(""));
    let named = beside.or_else(|| path.file_stem().map(Path::new));
    let known = match beside {
        Some(folder) => of_protocol(folder, at),
        None => None,
    };
    let facts = known.unwrap_or_else(|| TrialFacts {
        trial: named
            .and_then(Path::file_name)
            .map_or(shown.clone(), |n| n.to_string_lossy().into_owned()),
        source: shown.clone(),
        ..TrialFacts::default()
    });
    let effects = kept_effects(&shown, &at.sources.text(path)?, &facts)?;
    Ok(vec![Named::Effects(effects)])
}

/// What the protocol beside results tells, if it can be read.
fn of_protocol(folder: &Path, at: &Surroundings<'_>) -> Option<TrialFacts> {
    let folder = TrialFolder::open(at.sources, folder).ok()?;
    let trial = trial(&folder, None).ok()?;
    Some(facts(&folder, &trial))
}

/// Judges the trials that wait, side by side, each as `judge` does; the order stays.
fn judged(named: Vec<Named>, at: &Surroundings<'_>, read: &mut Read) -> Result<(), Error> {
    let waiting = named
        .iter()
        .filter(|n| matches!(n, Named::Waiting(_)))
        .count();
    let mut doubts: BTreeMap<&'static str, Vec<String>> = BTreeMap::new();
    let mut done = 0;
    let mut named = named.into_iter();
    loop {
        let part: Vec<Named> = named.by_ref().take(AT_ONCE).collect();
        if part.is_empty() {
            break;
        }
        let found: Vec<_> = part.into_par_iter().map(effects_of).collect();
        for (effects, told) in found {
            match effects {
                Ok(effects) => read.effects.extend(effects),
                Err(left) => read.left_out.push(left),
            }
            if let Some((source, codes)) = told {
                done += 1;
                for code in codes {
                    doubts.entry(code).or_default().push(source.clone());
                }
            }
        }
        if waiting > 0 {
            tell(at.progress, done, waiting)?;
        }
    }
    read.warnings.extend(doubts.into_iter().filter_map(doubted));
    Ok(())
}

/// Effects of what was named; of a trial that was judged also its source and the codes of its warnings.
type Found = (
    Result<Vec<TrialEffect>, LeftOut>,
    Option<(String, Vec<&'static str>)>,
);

fn effects_of(named: Named) -> Found {
    let Waiting { data, seed, facts } = match named {
        Named::Effects(effects) => return (Ok(effects), None),
        Named::Waiting(waiting) => *waiting,
    };
    let source = facts.source.clone();
    match judge(&data, seed) {
        Ok((judgement, warnings)) => {
            let mut codes: Vec<&'static str> = warnings.iter().map(|w| w.code).collect();
            codes.sort_unstable();
            codes.dedup();
            (Ok(trial_effects(&judgement, &facts)), Some((source, codes)))
        }
        Err(fault) => {
            let placed = Error {
                place: format!("{source}: {}", fault.place),
                ..fault
            };
            (Err(placed.into()), Some((source, Vec::new())))
        }
    }
}

/// What of the trials' own warnings the association must know, once for all trials that have it.
fn doubted((code, sources): (&'static str, Vec<String>)) -> Option<Warning> {
    let what = match code {
        NOT_AS_SEALED => "not as sealed: what had been agreed was changed afterwards",
        "counted-before-sealed" => "counted before sealed",
        "no-seal" => "without a seal: nobody can check that the draw came before the counting",
        _ => return None,
    };
    let trials = number(sources.len(), "trial");
    let shown: Vec<&str> = sources.iter().take(8).map(String::as_str).collect();
    let rest = if sources.len() > shown.len() {
        " and others"
    } else {
        ""
    };
    let message = format!("{trials} {what}");
    Some(Warning::at(
        code,
        message,
        format!("{}{rest}", shown.join(", ")),
    ))
}
