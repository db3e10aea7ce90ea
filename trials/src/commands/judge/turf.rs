//! `judge` of readings, of any table or of a trial: scores, cover, lengths, and the step across an edge.

use std::path::Path;

use halfgreen_analysis::comparison::Better;

use super::super::columns::refused;
use super::super::{Answer, Refusal, Side, Table, Words};
use super::table::{columns, named};
use super::{Judged, OfTrial, Request, Results, trial};
use crate::design::{ReadProtocol, ResponseKind};
use crate::judgement::{
    Response, TurfJudgement, TurfQuestion, headline, judge_turf, judge_turf_of_trial,
};
use crate::store::{Sources, TrialFolder};
use crate::text::spelling::number;
use crate::{Error, Warning};

/// Judges the readings of a table.
pub(super) fn of_table(
    file: &Path,
    request: &Request,
    seed: u64,
    sources: &dyn Sources,
) -> Result<Answer<Judged>, Refusal> {
    let columns = columns(request)?;
    let asked = question(request, seed)?;
    let text = sources.table(file)?;
    let shown = file.display().to_string();
    let (found, warnings) = judge_turf(&shown, &text, &columns, &asked)
        .map_err(|faults| refused(faults, (&shown, &text), &named(request)))?;
    let answer = answer(found, warnings, seed);
    Ok(answer.map(|found| Judged::Readings(Box::new(Results::of_table(found)))))
}

fn question(request: &Request, seed: u64) -> Result<TurfQuestion, Error> {
    let response = match request.response {
        ResponseKind::Score => Response::Score,
        ResponseKind::Cover => Response::Cover,
        ResponseKind::Edge => Response::Edge,
        ResponseKind::Length | ResponseKind::Count => Response::Length,
    };
    if request.not_randomised {
        let what =
            "readings other than counts are judged by re-drawing treatments, which needs a draw";
        let cure = "Leave --not-randomised out if treatments were drawn; otherwise only describe the readings.";
        return Err(Error::in_field("not_randomised", what, cure));
    }
    if (response == Response::Edge) != request.outside.is_some() {
        let what = "the readings inside and outside the edge belong together";
        let cure = "Give --response edge, --count for the readings inside and --outside for those outside.";
        return Err(Error::in_field("outside", what, cure));
    }
    Ok(TurfQuestion {
        response,
        alpha: request.alpha,
        better: request.better.unwrap_or(Better::More),
        worthwhile: request.worthwhile,
        outside: request.outside.clone(),
        seed,
    })
}

/// Judges a trial where the protocol says that readings are taken.
pub(super) fn of_trial(
    folder: &TrialFolder<'_>,
    read: ReadProtocol,
    request: &Request,
) -> Result<Answer<Judged>, Refusal> {
    if request.reference.is_some() {
        let what = "a reference is for counts, and this trial takes readings";
        return Err(Error::in_field("reference", what, "Leave it out.").into());
    }
    let trial = trial::turf_trial(folder, read, request.seed)?;
    let (found, mut warnings) =
        judge_turf_of_trial(&trial.protocol, &trial.layout, &trial.readings, trial.seed)?;
    warnings.extend(trial.warnings);
    let of_trial = OfTrial::new(&trial.differences, &trial.events, &[]);
    let results = |judgement| Results {
        judgement,
        of_trial: Some(of_trial),
    };
    Ok(answer(found, warnings, trial.seed).map(|found| Judged::Readings(Box::new(results(found)))))
}

/// What `judge` gives back for readings.
pub(in crate::commands) fn answer(
    found: TurfJudgement,
    warnings: Vec<Warning>,
    seed: u64,
) -> Answer<TurfJudgement> {
    let words = words(&found);
    let answer = Answer::new(found, words).with_warnings(warnings);
    answer.with_seed(seed)
}

/// The verdicts and the means, for people.
pub(in crate::commands) fn words(found: &TurfJudgement) -> Words {
    let mut words = Words::default();
    for e in &found.effect {
        let head = format!("{}: {}", e.treatment, headline(e.call));
        words.paragraph([head, e.sentence.to_string()]);
    }
    let mut means = Table::new([("", Side::Left), ("", Side::Right)]);
    for m in &found.means {
        means.row([m.treatment.clone(), format!("{:.3}", m.mean)]);
    }
    words.table(means);
    let left_out = found.missing.len();
    if left_out > 0 {
        words.paragraph([format!(
            "{} read, {left_out} without a reading",
            number(found.plots, "plot")
        )]);
    }
    words
}
