//! `judge --response`, or a trial whose protocol names a kind of reading: scores, cover, lengths, and the step across an edge.

use std::fmt::Write;
use std::path::Path;

use halfgreen_analysis::comparison::Better;

use super::super::output::Output;
use super::table::{Table, alpha, columns};
use crate::commands::Refusal;
use crate::commands::trial as files;
use crate::design::ReadProtocol;
use crate::judgement::{
    Response, TurfJudgement, TurfQuestion, headline, judge_turf, judge_turf_of_trial,
};
use crate::store::{Disk, Sources, TrialFolder};
use crate::{Error, Warning};

pub(super) fn run(file: &Path, table: &Table, seed: u64) -> Result<Output, Refusal> {
    let response = match table.response.as_str() {
        "score" => Response::Score,
        "cover" => Response::Cover,
        "edge" => Response::Edge,
        _ => Response::Length,
    };
    if table.not_randomised {
        let what =
            "readings other than counts are judged by re-drawing treatments, which needs a draw";
        let cure = "Leave --not-randomised out if treatments were drawn; otherwise only describe the readings.";
        return Err(Error::new("--not-randomised", what, cure).into());
    }
    if (response == Response::Edge) != table.outside.is_some() {
        let what = "the readings inside and outside the edge belong together";
        let cure = "Give --response edge, --count for the readings inside and --outside for those outside.";
        return Err(Error::new("--outside", what, cure).into());
    }
    if table.worthwhile.is_some_and(|w| w.is_nan() || w <= 0.0) {
        let cure =
            "Give the smallest difference that would matter, above 0, in the unit of the reading.";
        return Err(Error::new("--worthwhile", "it is no difference worth having", cure).into());
    }
    let asked = TurfQuestion {
        response,
        alpha: alpha(table)?,
        better: table.better.unwrap_or(Better::More),
        worthwhile: table.worthwhile,
        outside: table.outside.clone(),
        seed,
    };
    let text = Disk::default().table(file)?;
    let shown = file.display().to_string();
    let (found, warnings) = judge_turf(&shown, &text, &columns(table), &asked)?;
    output(&found, warnings, seed)
}

/// `judge DIR` where the protocol says that readings are taken.
pub(super) fn run_trial(
    folder: &TrialFolder<'_>,
    read: ReadProtocol,
    table: &Table,
    seed: Option<u64>,
) -> Result<Output, Refusal> {
    if table.reference.is_some() {
        let what = "a reference is for counts, and this trial takes readings";
        return Err(Error::new("--reference", what, "Leave it out.").into());
    }
    let trial = files::turf_trial(folder, read, seed)?;
    let (found, mut warnings) =
        judge_turf_of_trial(&trial.protocol, &trial.layout, &trial.readings, trial.seed)?;
    warnings.extend(trial.warnings);
    let told = output(&found, warnings, trial.seed)?;
    super::keep(&folder.join(""), &told)?;
    Ok(told)
}

/// What `judge` gives back for readings.
pub(in crate::terminal) fn output(
    found: &TurfJudgement,
    warnings: Vec<Warning>,
    seed: u64,
) -> Result<Output, Refusal> {
    let mut output = Output::new(found, words(found))?.with_warnings(warnings);
    output.seed = Some(seed);
    Ok(output)
}

/// The verdicts and the means, for people.
pub(in crate::terminal) fn words(found: &TurfJudgement) -> String {
    let mut words = String::new();
    for e in &found.effect {
        let head = headline(e.call);
        write!(words, "{}: {head}\n{}\n\n", e.treatment, e.sentence).unwrap_or_default();
    }
    for m in &found.means {
        writeln!(words, "{:<16}{:>12.3}", m.treatment, m.mean).unwrap_or_default();
    }
    let left_out = found.missing.len();
    if left_out > 0 {
        writeln!(
            words,
            "{} plots read, {left_out} without a reading",
            found.plots
        )
        .unwrap_or_default();
    }
    words
}
