//! What was taken into an archive, from where, and what was left out: a line for each source, the last word on it being the last line.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

use super::taken_in::beside_ledger;
use super::{TableColumns, TableTerms, TrialKey, Verdict};

/// Rows that lie one after another in a file of the archive.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Piece {
    /// The file, by its path in the archive.
    pub file: String,
    /// Its first row of the trial, from 0.
    pub from: u64,
    /// How many rows.
    pub rows: u64,
}

/// A trial of a source.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct TrialEntry {
    /// What names it.
    #[serde(flatten)]
    pub key: TrialKey,
    /// Rows with a count.
    pub rows: u64,
    /// Lines without one.
    pub uncounted: u64,
    /// Digest of its rows.
    pub digest: String,
    /// Where its rows lie.
    pub pieces: Vec<Piece>,
    /// Protocol, layout, seal and counts of a trial folder, by its path in the archive.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub kept: Option<String>,
    /// SHA-256 of that file.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub kept_sha256: Option<String>,
    /// What else is known of it.
    pub moderators: BTreeMap<String, String>,
}

impl TrialEntry {
    /// What an answer about the trial follows from, and by which it is known whether an earlier one still holds.
    #[must_use]
    pub fn state(&self, asked: Option<&Asked>) -> String {
        let asked = asked.and_then(|a| serde_json::to_string(a).ok());
        crate::design::sha256(format!(
            "{}\0{}\0{}\0{:?}",
            self.digest,
            self.kept_sha256.as_deref().unwrap_or_default(),
            asked.unwrap_or_default(),
            self.moderators,
        ))
    }
}

/// A trial, or a whole source, that no answer can be had from.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub struct LeftOutTrial {
    /// Where the fault is: `file:line:column`, or a folder.
    pub place: String,
    /// What is wrong, and what to do.
    pub reason: String,
    /// The trial, where it could be told.
    pub trial: Option<TrialKey>,
}

/// How a table was read.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Asked {
    /// Its columns.
    pub columns: TableColumns,
    /// What is asked of its trials.
    pub terms: TableTerms,
}

/// A source that was read.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct SourceEntry {
    /// File or folder as it was named.
    pub source: String,
    /// SHA-256 of what it held.
    pub sha256: String,
    /// How it was read; absent of a trial folder.
    pub asked: Option<Asked>,
    /// Its trials that are in the archive.
    pub trials: Vec<TrialEntry>,
    /// Its trials that are not.
    pub left_out: Vec<LeftOutTrial>,
}

/// All sources, and the trials that they gave.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Ledger {
    entries: BTreeMap<String, SourceEntry>,
    trials: BTreeMap<TrialKey, (String, usize)>,
}

impl Ledger {
    /// Takes in a line; an earlier one of the same source holds no longer.
    pub fn take(&mut self, entry: SourceEntry) {
        if let Some(earlier) = self.entries.remove(&entry.source) {
            for trial in earlier.trials {
                self.trials.remove(&trial.key);
            }
        }
        for (at, trial) in entry.trials.iter().enumerate() {
            self.trials
                .insert(trial.key.clone(), (entry.source.clone(), at));
        }
        self.entries.insert(entry.source.clone(), entry);
    }

    /// What is known of a source.
    #[must_use]
    pub fn source(&self, source: &str) -> Option<&SourceEntry> {
        self.entries.get(source)
    }

    /// All sources, in the order of their names.
    pub fn sources(&self) -> impl Iterator<Item = &SourceEntry> {
        self.entries.values()
    }

    /// A trial and the source that it comes from.
    #[must_use]
    pub fn trial(&self, key: &TrialKey) -> Option<(&SourceEntry, &TrialEntry)> {
        let (source, at) = self.trials.get(key)?;
        let source = self.entries.get(source)?;
        Some((source, source.trials.get(*at)?))
    }

    /// All trials, in the order of their keys.
    pub fn trials(&self) -> impl Iterator<Item = (&SourceEntry, &TrialEntry)> {
        self.trials.keys().filter_map(|key| self.trial(key))
    }

    /// All that was left out, by place.
    #[must_use]
    pub fn left_out(&self) -> Vec<&LeftOutTrial> {
        let mut all: Vec<&LeftOutTrial> = self.sources().flat_map(|s| &s.left_out).collect();
        all.sort();
        all
    }

    /// Decides on the trial of a folder, by its rows' digest and the digest of its kept texts.
    #[must_use]
    pub fn beside(&self, key: &TrialKey, digest: &str, kept: &str, source: &str) -> Verdict {
        beside_ledger(key, digest, Some(kept), self, source)
    }
}
