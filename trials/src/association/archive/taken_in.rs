//! What of a source is taken in: trials that can be judged, and are not there already.

use serde::Serialize;

use super::facts::{Facts, Fault};
use super::{Ledger, RowReader, TableTerms, TrialEntry, TrialKey};
use crate::text::spelling::{number, offer};

/// What becomes of a trial of a source.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Verdict {
    /// It is taken in.
    New,
    /// The same rows are there from another source.
    Twice(Told),
    /// Other rows are there under the same name.
    Contradicted(Told),
    /// It cannot be judged.
    Malformed(Fault),
}

/// Two sources that tell of one trial.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Told {
    /// The trial.
    pub trial: TrialKey,
    /// Source that was left aside.
    pub source: String,
    /// Source that is in the archive.
    pub first: String,
}

/// Decides on a trial of a table.
#[must_use]
pub fn decide(
    key: &TrialKey,
    facts: &Facts,
    reader: &RowReader<'_>,
    terms: &TableTerms,
    ledger: &Ledger,
    source: &str,
) -> Verdict {
    if let Some(fault) = &facts.fault {
        let more = facts.faults - 1;
        let what = if more == 0 {
            fault.what.clone()
        } else {
            let more = number(usize::try_from(more).unwrap_or(usize::MAX), "more line");
            format!(
                "{}; there is something wrong on {more} of the trial",
                fault.what
            )
        };
        return Verdict::Malformed(Fault {
            what,
            ..fault.clone()
        });
    }
    if let Some((what, cure)) = unfit(facts, reader, terms) {
        return Verdict::Malformed(Fault {
            line: facts.first_line,
            column: 1,
            what,
            cure,
        });
    }
    beside_ledger(key, &facts.digest(), None, ledger, source)
}

/// Decides on a sound trial by what the archive holds under its name.
#[must_use]
pub(super) fn beside_ledger(
    key: &TrialKey,
    digest: &str,
    kept: Option<&str>,
    ledger: &Ledger,
    source: &str,
) -> Verdict {
    let Some((first, known)) = ledger
        .trial(key)
        .filter(|(first, _)| first.source != source)
    else {
        return Verdict::New;
    };
    let told = Told {
        trial: key.clone(),
        source: source.to_owned(),
        first: first.source.clone(),
    };
    if same(known, digest, kept) {
        Verdict::Twice(told)
    } else {
        Verdict::Contradicted(told)
    }
}

/// Whether a trial in the archive has the same rows and, where both are folders, the same protocol and layout.
fn same(known: &TrialEntry, digest: &str, kept: Option<&str>) -> bool {
    let folders = known.kept_sha256.as_deref().zip(kept);
    known.digest == digest && folders.is_none_or(|(one, other)| one == other)
}

/// Why no answer can be had from a trial, though each line is in order.
fn unfit(facts: &Facts, reader: &RowReader<'_>, terms: &TableTerms) -> Option<(String, String)> {
    if facts.counted == 0 {
        let what = "no line of the trial has a count".to_owned();
        return Some((what, "Fill in the counts.".to_owned()));
    }
    if !facts.treatments.contains(&terms.control) {
        let names: Vec<&str> = facts.treatments.iter().map(String::as_str).collect();
        let what = format!(
            "the control \"{}\" does not occur in the trial",
            terms.control
        );
        return Some((what, offer(&terms.control, &names)));
    }
    if facts.treatments.len() < 2 {
        let what = format!("{} is the only treatment of the trial", terms.control);
        return Some((what, "Add the counts of the other treatments.".to_owned()));
    }
    let only = facts.occasions.len() == 1;
    let main = facts
        .occasions
        .iter()
        .any(|o| reader.role(o, only) == super::Role::Main);
    if main {
        return None;
    }
    let occasions: Vec<String> = facts.occasions.iter().map(|n| format!("\"{n}\"")).collect();
    let occasions = occasions.join(", ");
    Some((
        format!("no occasion of the trial is the main one; it has {occasions}"),
        "Name the occasion that decides with --main.".to_owned(),
    ))
}
