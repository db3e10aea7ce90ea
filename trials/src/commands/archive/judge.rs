//! `archive judge`: every trial by itself, several at once; a run that is killed goes on where it was.

use std::collections::BTreeMap;
use std::sync::atomic::{AtomicUsize, Ordering};

use rayon::prelude::*;
use serde::Serialize;

use super::super::request::required;
use super::super::{Answer, Refusal, Surroundings};
use super::{Judge, gather, one_trial};
use crate::Error;
use crate::association::archive::{
    Ledger, LeftOutTrial, Outcome, SourceEntry, TrialEntry, TrialKey,
};
use crate::progress::{Progress, tell};
use crate::store::Archive;

/// The `result` of `archive judge` and `archive gather`.
#[derive(Debug, Clone, Default, PartialEq, Serialize)]
pub struct JudgedTrials {
    /// Part of the trials that was asked for; `1/1` for all.
    pub shard: String,
    /// Trials of that part.
    pub trials: usize,
    /// Trials that this run judged.
    pub judged: usize,
    /// Trials whose answer was there already.
    pub kept: usize,
    /// Trials of the whole archive.
    pub in_archive: usize,
    /// Trials of the whole archive that no run has judged yet; while there are some, no table of effects is written.
    pub to_judge: usize,
    /// Effects of all trials together: one for each method of each trial.
    pub effects: usize,
    /// Trials, or whole sources, that no answer can be had from, with what was left out when sources were added.
    pub left_out: Vec<LeftOutTrial>,
    /// Files that were written.
    pub files: Vec<String>,
}

/// Judges the trials of a part.
pub(super) fn run(request: &Judge, at: &Surroundings<'_>) -> Result<Answer<JudgedTrials>, Refusal> {
    required(&[("archive", &request.archive)])?;
    let archive = at.sources.archive(&request.archive)?;
    let ledger = archive.known()?;
    let journal = archive.journal(&request.shard)?;
    let mut done = archive.outcomes(&ledger)?;
    let part: Vec<(&SourceEntry, &TrialEntry)> = ledger
        .trials()
        .filter(|(_, t)| request.shard.holds(&t.key))
        .collect();
    let open: Vec<(&SourceEntry, &TrialEntry)> = part
        .iter()
        .copied()
        .filter(|(_, t)| !done.contains_key(&t.key))
        .collect();
    let kept = part.len() - open.len();
    let outcomes = all(&open, (kept, part.len()), at.progress, |source, trial| {
        let outcome = one_trial::judged(&archive, source, trial);
        journal.add(&outcome)?;
        Ok(outcome)
    })?;
    journal.close()?;
    done.extend(outcomes.into_iter().map(|o| (o.key.clone(), o)));
    let mut found = JudgedTrials {
        shard: request.shard.to_string(),
        trials: part.len(),
        judged: open.len(),
        kept,
        ..JudgedTrials::default()
    };
    answer(&archive, &ledger, &done, &mut found)
}

/// Judges trials, several at once, in the order in which they are given.
fn all(
    open: &[(&SourceEntry, &TrialEntry)],
    (kept, of): (usize, usize),
    progress: Progress<'_>,
    judge: impl Fn(&SourceEntry, &TrialEntry) -> Result<Outcome, Error> + Sync,
) -> Result<Vec<Outcome>, Error> {
    let ready = AtomicUsize::new(kept);
    open.par_iter()
        .map(|(source, trial)| {
            let outcome = judge(source, trial)?;
            tell(progress, ready.fetch_add(1, Ordering::Relaxed) + 1, of)?;
            Ok(outcome)
        })
        .collect()
}

/// Writes the effects where all trials are judged, and says how things stand.
pub(super) fn answer(
    archive: &Archive,
    ledger: &Ledger,
    done: &BTreeMap<TrialKey, Outcome>,
    found: &mut JudgedTrials,
) -> Result<Answer<JudgedTrials>, Refusal> {
    found.in_archive = ledger.trials().count();
    found.to_judge = found.in_archive - done.len();
    gather::gathered(archive, ledger, done, found)?;
    let words = super::words::judged(found, &archive.shown());
    Ok(Answer::new(found.clone(), words))
}
