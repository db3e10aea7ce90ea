//! `report` where the protocol says that readings are taken.

use super::super::judge::{OfTrial, Results, kept, turf_answer, turf_words};
use super::{Answer, Refusal, Request, Surroundings, Written, answer as answered, files, trial};
use crate::design::{ReadProtocol, Treatment};
use crate::judgement::judge_turf_of_trial;
use crate::report::{Papers, TurfFindings, turf_pages};
use crate::store::TrialFolder;

/// Judges the readings of a trial and makes their pages.
pub(super) fn answer(
    folder: &TrialFolder<'_>,
    read: ReadProtocol,
    request: &Request,
    at: &Surroundings<'_>,
) -> Result<Answer<Written>, Refusal> {
    let trial = trial::turf_trial(folder, read, request.seed)?;
    let (found, mut warnings) =
        judge_turf_of_trial(&trial.protocol, &trial.layout, &trial.readings, trial.seed)?;
    warnings.extend(trial.warnings);
    let judged = turf_answer(found, warnings, trial.seed);
    let mut treatments: Vec<&Treatment> = trial.protocol.treatments.iter().collect();
    treatments.sort_by_key(|t| !t.control);
    let pages = turf_pages(&TurfFindings {
        papers: Papers {
            protocol: &trial.protocol,
            reporting: &trial.reporting,
            layout: &trial.layout,
            greens: &trial.greens,
            seal: trial.seal.as_ref(),
            differences: &trial.differences,
            events: &trial.events,
            warnings: &judged.warnings,
            seed: trial.seed,
            read: &trial.read,
        },
        judgement: &judged.result,
        codes: treatments.iter().map(|t| t.code.clone()).collect(),
        names: treatments.iter().map(|t| t.name.clone()).collect(),
    })?;
    let words = turf_words(&judged.result);
    let warnings = judged.warnings.clone();
    let results = kept(
        folder,
        &judged.map(|judgement| Results {
            judgement,
            of_trial: Some(OfTrial::new(&trial.differences, &trial.events, &[])),
        }),
    )?;
    let files = files::of(folder, pages, results, request, at)?;
    Ok(answered(words, files, warnings, trial.seed))
}
