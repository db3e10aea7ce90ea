//! `check`: counts against what was laid out.

use std::fmt::Write;
use std::path::PathBuf;

use super::commands::Context;
use super::files;
use super::output::{Output, Refusal};
use super::show::{BAD, DOUBTFUL, GOOD};
use crate::intake::CheckResult;
use crate::store::TrialFolder;
use crate::table::Problem;

/// Arguments of `check`.
#[derive(Debug, clap::Args)]
pub(super) struct Args {
    /// Folder of the trial
    dir: PathBuf,
}

pub(super) fn run(args: &Args, _context: &Context) -> Result<Output, Refusal> {
    let folder = TrialFolder::open(&args.dir)?;
    let read = files::protocol(&folder)?;
    let layout = files::layout(&folder, &read.protocol)?;
    let seal = files::seal(&folder)?;
    let mut warnings = read.cautions;
    warnings.extend(files::held_to_seal(
        &folder,
        seal.as_ref(),
        &read.protocol,
        &layout,
    ));
    let (found, passed, what, early) = if read.protocol.response.kind.is_count() {
        let check = files::check(&folder, &read.protocol, &layout)?;
        let early = files::early_counts(&folder, &read.protocol, seal.as_ref(), &check);
        (check.result, check.counts.is_some(), "counts", early)
    } else {
        let check = files::check_turf(&folder, &read.protocol, &layout)?;
        let early = files::early_readings(&folder, &read.protocol, seal.as_ref(), &check);
        (check.result, check.readings.is_some(), "readings", early)
    };
    warnings.extend(early);
    let when = if read.protocol.design.kind.facts().over_nights {
        "every night"
    } else {
        "the main occasion"
    };
    let mut output = Output::new(&found, words(&found, what, when))?.with_warnings(warnings);
    output.passed = passed;
    Ok(output)
}

/// The check in words; `what` is counts or readings, `when` the occasion that decides.
fn words(found: &CheckResult, what: &str, when: &str) -> String {
    let mut text = String::new();
    for problem in &found.problems {
        text.push_str(&line(problem));
    }
    let errors = found.problems.iter().filter(|p| p.is_error()).count();
    let summary = format!(
        "{} of {} plots {} on {when}, {} {what} in all",
        found.counted,
        found.plots,
        if what == "counts" { "counted" } else { "read" },
        found.counts
    );
    // Writing into a text cannot fail.
    match errors {
        0 if found.counted == 0 => writeln!(
            text,
            "{DOUBTFUL}There is nothing to judge yet{DOUBTFUL:#}: no plot {} on {when}. What is written is in order: {summary}.",
            if what == "counts" { "is counted" } else { "is read" }
        ),
        0 => writeln!(text, "{GOOD}The {what} can be judged{GOOD:#}: {summary}."),
        1 => writeln!(
            text,
            "{BAD}1 line must be mended{BAD:#} before the {what} can be judged; {summary}."
        ),
        n => writeln!(
            text,
            "{BAD}{n} faults must be mended{BAD:#} before the {what} can be judged; {summary}."
        ),
    }
    .unwrap_or_default();
    text
}

fn line(problem: &Problem) -> String {
    let place = problem.place();
    if problem.is_error() {
        format!("{BAD}mend{BAD:#} {place}: {}\n", problem.message)
    } else {
        format!("{DOUBTFUL}look{DOUBTFUL:#} {place}: {}\n", problem.message)
    }
}
