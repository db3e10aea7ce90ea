//! `archive gather`: what several runs judged, put together; the same bits whoever judged which part.

use std::collections::BTreeMap;

use super::super::request::required;
use super::super::{Answer, Refusal, Surroundings};
use super::Gather;
use super::judge::{JudgedTrials, answer};
use crate::Error;
use crate::association::TrialEffect;
use crate::association::archive::{Finding, Ledger, LeftOutTrial, Outcome, Shard, TrialKey};
use crate::store::Archive;

/// Puts together what is judged.
pub(super) fn run(
    request: &Gather,
    at: &Surroundings<'_>,
) -> Result<Answer<JudgedTrials>, Refusal> {
    required(&[("archive", &request.archive)])?;
    let archive = at.sources.archive(&request.archive)?;
    let ledger = archive.known()?;
    let done = archive.outcomes(&ledger)?;
    let mut found = JudgedTrials {
        shard: Shard::WHOLE.to_string(),
        trials: done.len(),
        kept: done.len(),
        ..JudgedTrials::default()
    };
    answer(&archive, &ledger, &done, &mut found)
}

/// Lists what was left out, and writes the tables once no trial is open.
pub(super) fn gathered(
    archive: &Archive,
    ledger: &Ledger,
    done: &BTreeMap<TrialKey, Outcome>,
    found: &mut JudgedTrials,
) -> Result<(), Error> {
    let mut effects: Vec<TrialEffect> = Vec::new();
    let mut left_out: Vec<LeftOutTrial> = ledger.left_out().into_iter().cloned().collect();
    // In the order of the trials' keys, whoever judged them and when.
    for outcome in done.values() {
        match &outcome.finding {
            Finding::Judged { effects: some, .. } => effects.extend(some.iter().cloned()),
            Finding::LeftOut(trial) => left_out.push(trial.clone()),
        }
    }
    left_out.sort();
    found.effects = effects.len();
    if found.to_judge == 0 {
        found.files = archive.write_effects(&effects, &left_out)?;
    }
    found.left_out = left_out;
    Ok(())
}
