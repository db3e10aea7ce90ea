//! A check in words.

use super::super::{Status, Words};
use crate::Error;
use crate::intake::CheckResult;
use crate::table::Problem;

/// The check in words; `what` is counts or readings, `when` the occasion that decides.
pub(super) fn words(
    found: &CheckResult,
    not_judged: Option<&Error>,
    what: &str,
    when: &str,
) -> Words {
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
            format!(" {}: {}", place(problem), problem.complaint),
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
            "1 fault must be mended",
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

/// Where a problem is: its place in the file, and its plot where the words do not name it.
fn place(problem: &Problem) -> String {
    let place = problem.place();
    match &problem.plot {
        Some(plot) if !problem.complaint.what.contains(&format!("plot {plot}")) => {
            format!("{place} (plot {plot})")
        }
        _ => place,
    }
}
