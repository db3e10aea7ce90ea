//! `report` where the protocol says that readings are taken.

use super::super::judge::{kept, turf_answer, turf_words};
use super::{Answer, Refusal, Written, answer as answered, files_of, trial};
use crate::design::{ReadProtocol, Treatment};
use crate::judgement::judge_turf_of_trial;
use crate::report::{TurfFindings, turf_pages};
use crate::store::TrialFolder;

/// Judges the readings of a trial and makes their pages.
pub(super) fn answer(
    folder: &TrialFolder<'_>,
    read: ReadProtocol,
    seed: Option<u64>,
) -> Result<Answer<Written>, Refusal> {
    let trial = trial::turf_trial(folder, read, seed)?;
    let (found, mut warnings) =
        judge_turf_of_trial(&trial.protocol, &trial.layout, &trial.readings, trial.seed)?;
    warnings.extend(trial.warnings);
    let judged = turf_answer(found, warnings, trial.seed);
    let mut treatments: Vec<&Treatment> = trial.protocol.treatments.iter().collect();
    treatments.sort_by_key(|t| !t.control);
    let pages = turf_pages(&TurfFindings {
        protocol: &trial.protocol,
        layout: &trial.layout,
        greens: &trial.greens,
        seal: trial.seal.as_ref(),
        judgement: &judged.result,
        codes: treatments.iter().map(|t| t.code.clone()).collect(),
        names: treatments.iter().map(|t| t.name.clone()).collect(),
        warnings: &judged.warnings,
        seed: trial.seed,
        read: &trial.read,
    })?;
    let files = files_of(folder, pages, kept(folder, &judged)?);
    let words = turf_words(&judged.result);
    Ok(answered(words, files, judged.warnings, trial.seed))
}
