//! `report` where the protocol says that readings are taken.

use super::super::judge::{turf_output, turf_words};
use super::super::output::Output;
use super::super::show;
use super::{Written, files_of, names_of};
use crate::commands::Refusal;
use crate::commands::trial as files;
use crate::design::{ReadProtocol, Treatment};
use crate::judgement::judge_turf_of_trial;
use crate::report::{TurfFindings, turf_pages};
use crate::store::{TrialFolder, write_all};

pub(super) fn run(
    folder: &TrialFolder<'_>,
    read: ReadProtocol,
    seed: Option<u64>,
) -> Result<Output, Refusal> {
    let trial = files::turf_trial(folder, read, seed)?;
    let (found, mut warnings) =
        judge_turf_of_trial(&trial.protocol, &trial.layout, &trial.readings, trial.seed)?;
    warnings.extend(trial.warnings);
    let judged = turf_output(&found, warnings, trial.seed)?;
    let results = show::document_text(&judged, "judge")?;
    let mut treatments: Vec<&Treatment> = trial.protocol.treatments.iter().collect();
    treatments.sort_by_key(|t| !t.control);
    let pages = turf_pages(&TurfFindings {
        protocol: &trial.protocol,
        layout: &trial.layout,
        greens: &trial.greens,
        seal: trial.seal.as_ref(),
        judgement: &found,
        codes: treatments.iter().map(|t| t.code.clone()).collect(),
        names: treatments.iter().map(|t| t.name.clone()).collect(),
        warnings: &judged.warnings,
        seed: trial.seed,
    })?;
    let written = files_of(folder, pages, results);
    write_all(&written)?;
    let files = names_of(&written);
    let text = format!(
        "{}\nWritten:\n  {}\n",
        turf_words(&found),
        files.join("\n  ")
    );
    let mut output = Output::new(Written { files }, text)?.with_warnings(judged.warnings);
    output.seed = Some(trial.seed);
    Ok(output)
}
