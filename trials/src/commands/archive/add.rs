//! `archive add`: sources into an archive, each as a whole or not at all.

use std::path::PathBuf;

use rayon::prelude::*;
use serde::Serialize;

use super::super::request::required;
use super::super::{Answer, Refusal, Surroundings};
use super::{Add, folder, table, words};
use crate::Error;
use crate::association::archive::{Ledger, LeftOutTrial, SourceEntry, Told, TrialEntry, Verdict};
use crate::progress::tell;
use crate::ranges::request::{ARCHIVE_ALPHA, ARCHIVE_CORE_AREA, ARCHIVE_WORTHWHILE};
use crate::ranges::within_limits;
use crate::store::Archive;

/// Folders that are read before what they held is entered.
const BATCH: usize = 256;

/// The `result` of `archive add`.
#[derive(Debug, Clone, Default, PartialEq, Serialize)]
pub struct Added {
    /// Sources that were read.
    pub sources: usize,
    /// Sources that were in the archive already, as they are.
    pub unchanged: usize,
    /// Trials that were taken in.
    pub trials: usize,
    /// Their rows.
    pub rows: u64,
    /// Lines without a count, which are left out and are no zeros.
    pub uncounted: u64,
    /// Trials that came twice with the same rows; the first is kept.
    pub twice: Vec<Told>,
    /// Trials that came twice with other rows; the first is kept.
    pub contradicted: Vec<Told>,
    /// Trials, or whole sources, that no answer can be had from.
    pub left_out: Vec<LeftOutTrial>,
    /// Trials in the archive now.
    pub in_archive: usize,
    /// Files of a run that was killed, which were cleared away.
    pub swept: usize,
}

impl Added {
    /// Takes in what became of a source, and gives the line for the ledger.
    pub(super) fn take(&mut self, read: Read) -> Option<SourceEntry> {
        self.sources += 1;
        if let Some(stays) = read.stays {
            self.left_out.push(stays);
            return None;
        }
        self.trials += read.entry.trials.len();
        self.rows += read.entry.trials.iter().map(|t| t.rows).sum::<u64>();
        self.uncounted += read.entry.trials.iter().map(|t| t.uncounted).sum::<u64>();
        self.twice.extend(read.twice);
        self.contradicted.extend(read.contradicted);
        self.left_out.extend(read.entry.left_out.iter().cloned());
        Some(read.entry)
    }
}

/// A source that was read, and what of it was left aside.
#[derive(Debug)]
pub(super) struct Read {
    pub(super) entry: SourceEntry,
    pub(super) twice: Vec<Told>,
    pub(super) contradicted: Vec<Told>,
    /// Why what the archive holds of the source stays as it is.
    pub(super) stays: Option<LeftOutTrial>,
}

impl Read {
    pub(super) fn of(entry: SourceEntry) -> Self {
        Self {
            entry,
            twice: Vec::new(),
            contradicted: Vec::new(),
            stays: None,
        }
    }

    /// A source that is no longer as the archive knows it, and was not asked to take the place of what it was.
    pub(super) fn unchanged(known: &SourceEntry, what: &str) -> Self {
        let stays = LeftOutTrial {
            place: known.source.clone(),
            reason: format!(
                "{what}. Add it with --replace to put it in the place of what it held."
            ),
            trial: None,
        };
        Self {
            stays: Some(stays),
            ..Self::of(known.clone())
        }
    }

    /// A name that leads to nothing that could be read: the archive remembers nothing of it.
    pub(super) fn passed_over(source: String, error: &Error) -> Self {
        let mut read = Self::unusable(source, String::new(), std::slice::from_ref(error));
        read.stays = read.entry.left_out.pop();
        read
    }

    /// A source that cannot be used as a whole.
    pub(super) fn unusable(source: String, sha256: String, errors: &[Error]) -> Self {
        let left_out = errors.iter().map(|e| LeftOutTrial {
            place: e.place.clone(),
            reason: format!("{}. {}", e.what, e.cure),
            trial: None,
        });
        Self::of(SourceEntry {
            source,
            sha256,
            asked: None,
            trials: Vec::new(),
            left_out: left_out.collect(),
        })
    }

    /// Takes in a trial, or leaves it aside.
    pub(super) fn trial(&mut self, verdict: Verdict, trial: TrialEntry) {
        match verdict {
            Verdict::New => self.entry.trials.push(trial),
            Verdict::Twice(told) => self.twice.push(told),
            Verdict::Contradicted(told) => self.contradicted.push(told),
            Verdict::Malformed(fault) => self.entry.left_out.push(LeftOutTrial {
                place: format!("{}:{}:{}", self.entry.source, fault.line, fault.column),
                reason: format!("{}. {}", fault.what, fault.cure),
                trial: Some(trial.key),
            }),
        }
    }
}

/// Takes sources into an archive.
pub(super) fn run(request: &Add, at: &Surroundings<'_>) -> Result<Answer<Added>, Refusal> {
    required(&[("archive", &request.archive)])?;
    within_limits(&[
        (ARCHIVE_ALPHA, Some(request.alpha)),
        (ARCHIVE_WORTHWHILE, Some(request.worthwhile)),
        (ARCHIVE_CORE_AREA, request.core_area),
    ])?;
    if request.sources.is_empty() {
        let cure = "Name trial folders, folders of them, or tables.";
        return Err(Error::in_field("sources", "none is given", cure).into());
    }
    let archive = at.sources.archive(&request.archive)?;
    let asked = table::asked(request)?;
    let (folders, tables) = archive.found(&request.sources, asked.is_some());
    let _held = archive.hold()?;
    let mut ledger = archive.ledger()?;
    let mut added = Added {
        swept: archive.sweep(&ledger)?,
        ..Added::default()
    };
    let steps = folders.len() + tables.len();
    let mut done = 0;
    for batch in folders.chunks(BATCH) {
        add_folders(batch, request, &archive, &mut ledger, &mut added)?;
        done += batch.len();
        tell(at.progress, done, steps)?;
    }
    for path in &tables {
        let read = table::read(path, asked.as_ref(), request.replace, &archive, &ledger)?;
        match read {
            None => added.unchanged += 1,
            Some(read) => enter(vec![read], &archive, &mut ledger, &mut added)?,
        }
        done += 1;
        tell(at.progress, done, steps)?;
    }
    // What a later version of a source has replaced.
    archive.sweep(&ledger)?;
    added.in_archive = ledger.trials().count();
    let words = words::added(&added, &archive.shown());
    let nothing = added.trials == 0 && added.unchanged == 0;
    let mut answer = Answer::new(added, words);
    answer.passed = !nothing || answer.result.left_out.is_empty();
    Ok(answer)
}

/// Reads folders at once, and enters them in their order.
fn add_folders(
    batch: &[PathBuf],
    request: &Add,
    archive: &Archive,
    ledger: &mut Ledger,
    added: &mut Added,
) -> Result<(), Error> {
    let read: Vec<folder::ReadFolder> = batch
        .par_iter()
        .map(|path| folder::read(path, archive, ledger))
        .collect();
    let mut whole = Vec::new();
    for found in read {
        match folder::decided(found, request.replace, ledger, &whole) {
            None => added.unchanged += 1,
            Some(decided) => whole.push(decided),
        }
    }
    let kept: Result<Vec<Read>, Error> = whole
        .into_par_iter()
        .map(|d| folder::keep(d, archive))
        .collect();
    enter(kept?, archive, ledger, added)
}

fn enter(
    read: Vec<Read>,
    archive: &Archive,
    ledger: &mut Ledger,
    added: &mut Added,
) -> Result<(), Error> {
    let entries: Vec<SourceEntry> = read.into_iter().filter_map(|r| added.take(r)).collect();
    archive.enter(&entries)?;
    for entry in entries {
        ledger.take(entry);
    }
    Ok(())
}
