//! `check`: counts against what was laid out.

use std::path::PathBuf;

use serde::{Deserialize, Serialize};

use super::judge;
use super::request::required;
use super::trial;
use super::{Answer, Refusal, Status, Surroundings, Words};
use crate::Error;
use crate::intake::CheckResult;
use crate::store::TrialFolder;
use crate::table::worst_first;

/// What is asked of `check`.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Request {
    /// Folder of the trial.
    pub dir: PathBuf,
}

/// The `result` of `check`.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Checked {
    /// What was counted, and what is wrong with it.
    #[serde(flatten)]
    pub found: CheckResult,
    /// Why `judge` would refuse the trial as it stands, if it would.
    pub not_judged: Option<String>,
}

/// Holds what was counted against what was laid out, and asks as `judge` does whether the trial can be judged.
///
/// # Errors
/// A trial folder that cannot be read; counts with faults are no refusal but an answer that did not pass.
pub fn run(request: &Request, at: &Surroundings<'_>) -> Result<Answer<Checked>, Refusal> {
    required(&[("dir", &request.dir)])?;
    let folder = TrialFolder::open(at.sources, &request.dir)?;
    let read = trial::protocol(&folder)?;
    let layout = trial::layout(&folder, &read.protocol)?;
    let seal = trial::seal(&folder)?;
    let mut warnings = read.cautions;
    warnings.extend(trial::held_to_seal(
        &folder,
        seal.as_ref(),
        &read.protocol,
        &layout,
    ));
    let (found, passed, what, early) = if read.protocol.response.kind.is_count() {
        let check = trial::check(&folder, &read.protocol, &layout)?;
        let early = trial::early_counts(&folder, &read.protocol, seal.as_ref(), &check);
        (check.result, check.counts.is_some(), "counts", early)
    } else {
        let check = trial::check_turf(&folder, &read.protocol, &layout)?;
        let early = trial::early_readings(&folder, &read.protocol, seal.as_ref(), &check);
        (check.result, check.readings.is_some(), "readings", early)
    };
    let mut found = found;
    worst_first(&mut found.problems);
    warnings.extend(early);
    let when = if read.protocol.design.kind.facts().over_nights() {
        "every night"
    } else {
        "the main occasion"
    };
    let stands = judge::stands(&folder);
    let not_judged = stands.err().and_then(|r| r.errors.into_iter().next());
    let words = words(&found, not_judged.as_ref(), what, when);
    let checked = Checked {
        found,
        not_judged: not_judged.map(|reason| reason.to_string()),
    };
    let mut answer = Answer::new(checked, words).with_warnings(warnings);
    answer.passed = passed;
    Ok(answer)
}

/// The check in words; `what` is counts or readings, `when` the occasion that decides.
fn words(found: &CheckResult, not_judged: Option<&Error>, what: &str, when: &str) -> Words {
    let mut words = Words::default();
    for problem in &found.problems {
        let (status, word) = if problem.is_error() {
            (Status::Bad, "mend")
        } else {
            (Status::Doubtful, "look")
        };
        words.told(
            status,
            word,
            format!(" {}: {}", problem.place(), problem.complaint),
        );
    }
    let errors = found.problems.iter().filter(|p| p.is_error()).count();
    let (counted, is_counted) = if what == "counts" {
        ("counted", "is counted")
    } else {
        ("read", "is read")
    };
    let summary = format!(
        "{} of {} plots {counted} on {when}, {} {what} in all",
        found.counted, found.plots, found.counts
    );
    match (errors, not_judged) {
        (0, _) if found.counted == 0 => words.told(
            Status::Doubtful,
            "There is nothing to judge yet",
            format!(": no plot {is_counted} on {when}. What is written is in order: {summary}."),
        ),
        (0, Some(reason)) => {
            let heading = format!("The {what} cannot be judged yet");
            words.told(Status::Doubtful, heading, format!(": {summary}."));
            words.line(reason.to_string());
        }
        (0, None) => words.told(
            Status::Good,
            format!("The {what} can be judged"),
            format!(": {summary}."),
        ),
        (1, _) => words.told(
            Status::Bad,
            "1 line must be mended",
            format!(" before the {what} can be judged; {summary}."),
        ),
        (n, _) => words.told(
            Status::Bad,
            format!("{n} faults must be mended"),
            format!(" before the {what} can be judged; {summary}."),
        ),
    }
    words
}
