//! `check`: counts against what was laid out, from one file or from several that are put together.

mod merge;
mod words;

use std::path::PathBuf;

use serde::{Deserialize, Serialize};

use super::judge;
use super::request::required;
use super::trial;
use super::{Answer, Refusal, Surroundings};
use crate::design::{Layout, Protocol};
use crate::intake::CheckResult;
use crate::store::TrialFolder;
use crate::table::worst_first;
use crate::{Error, Warning};

/// What is asked of `check`.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Request {
    /// Folder of the trial.
    pub dir: PathBuf,
    /// Further files of counts, such as those of phones: put together with the folder's own in a new file.
    pub files: Vec<PathBuf>,
}

/// The `result` of `check`.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Checked {
    /// What was counted, and what is wrong with it.
    #[serde(flatten)]
    pub found: CheckResult,
    /// Why `judge` would refuse the trial as it stands, if it would.
    pub not_judged: Option<String>,
    /// The file in which several were put together, if they were.
    pub merged: Option<String>,
    /// Counts that the folder's own file lacks and others have.
    pub new_counts: usize,
}

/// A trial that is laid out, and what is doubtful about it.
struct Planned {
    protocol: Protocol,
    layout: Layout,
    warnings: Vec<Warning>,
}

/// Holds what was counted against what was laid out, and asks as `judge` does whether the trial can be judged.
///
/// Several files are put together in a new one, `counts.csv` where there is none yet and else `counts-merged.csv`, if nothing is
/// wrong with them; none that was there is touched.
///
/// # Errors
/// A trial folder or a file that cannot be read; counts with faults are no refusal but an answer that did not pass.
pub fn run(request: &Request, at: &Surroundings<'_>) -> Result<Answer<Checked>, Refusal> {
    required(&[("dir", &request.dir)])?;
    let folder = TrialFolder::open(at.sources, &request.dir)?;
    let read = trial::protocol(&folder)?;
    let layout = trial::layout(&folder, &read.protocol)?;
    let planned = Planned {
        protocol: read.protocol,
        layout,
        warnings: read.cautions,
    };
    if request.files.is_empty() {
        of_folder(&folder, planned)
    } else {
        merge::run(request, at, planned)
    }
}

/// Checks what lies in the folder.
fn of_folder(folder: &TrialFolder<'_>, planned: Planned) -> Result<Answer<Checked>, Refusal> {
    let Planned {
        protocol,
        layout,
        mut warnings,
    } = planned;
    let seal = trial::seal(folder)?;
    warnings.extend(trial::held_to_seal(
        folder,
        seal.as_ref(),
        &protocol,
        &layout,
    ));
    let (mut found, passed, what, early) = if protocol.response.kind.is_count() {
        let mut check = trial::check(folder, &protocol, &layout)?;
        let early = trial::early_counts(folder, &protocol, seal.as_ref(), &check);
        warnings.extend(trial::not_merged(folder, &protocol, &layout, &check));
        let late = trial::late_events(folder, &protocol, &layout, &check)?;
        check.result.problems.extend(late);
        (check.result, check.counts.is_some(), "counts", early)
    } else {
        let check = trial::check_turf(folder, &protocol, &layout)?;
        let early = trial::early_readings(folder, &protocol, seal.as_ref(), &check);
        (check.result, check.readings.is_some(), "readings", early)
    };
    warnings.extend(early);
    worst_first(&mut found.problems);
    let not_judged = refusal(folder);
    let words = words::words(&found, not_judged.as_ref(), what, when(&protocol));
    let checked = Checked {
        found,
        not_judged: not_judged.map(|reason| reason.to_string()),
        merged: None,
        new_counts: 0,
    };
    let mut answer = Answer::new(checked, words).with_warnings(warnings);
    answer.passed = passed;
    Ok(answer)
}

/// Why `judge` would refuse a trial.
fn refusal(folder: &TrialFolder<'_>) -> Option<Error> {
    let refused = judge::stands(folder).err()?;
    refused.errors.into_iter().next()
}

/// The occasion that decides, in words.
fn when(protocol: &Protocol) -> &'static str {
    if protocol.design.kind.facts().over_nights() {
        "every night"
    } else {
        "the main occasion"
    }
}
