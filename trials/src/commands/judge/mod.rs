//! `judge`: did the method beat the control?

mod beside;
mod of_trial;
mod table;
mod turf;
mod words;

use std::path::PathBuf;

use halfgreen_analysis::comparison::Better;
use serde::{Deserialize, Serialize};

use super::trial;
use super::{Answer, Refusal, Surroundings};
use crate::design::{ResponseKind, VerdictAbout};
use crate::judgement::{Judgement, TurfJudgement, can_be_judged, judge};
use crate::mapping::trial_ground;
use crate::ranges::request::{JUDGE_ALPHA, JUDGE_MARGIN, JUDGE_THRESHOLD, JUDGE_WORTHWHILE};
use crate::ranges::within_limits;
use crate::store::{NewFile, RESULTS, TrialFolder};
use crate::trial_data::{Reference, TrialData};
use crate::{Error, Warning};

pub use of_trial::{DeviationLine, DeviationRow, OfTrial, Results};
pub(super) use table::data_of_rows;
pub(super) use turf::{answer as turf_answer, words as turf_words};
pub(super) use words::told;

/// What is asked of `judge`: a trial folder, or any table by the names of its columns.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Request {
    /// Folder of the trial.
    pub dir: Option<PathBuf>,
    /// Table of counts, one line for each plot.
    pub counts: Option<PathBuf>,
    /// Column of the counts.
    pub count: String,
    /// Column of the treatments.
    pub treatment: String,
    /// Treatment that is the control.
    pub control: String,
    /// Column of the blocks.
    pub block: Option<String>,
    /// Column of the rows of a Latin square.
    pub row: Option<String>,
    /// Column of the columns of a Latin square.
    pub column: Option<String>,
    /// Column that names the plot, where several lines are cores of one plot.
    pub plot: Option<String>,
    /// Column of the counts before treatment.
    pub before: Option<String>,
    /// Column of the sampled areas, square metres.
    pub area: Option<String>,
    /// What the column of the counts holds.
    pub response: ResponseKind,
    /// Column of the readings outside the plot's edge, for edges.
    pub outside: Option<String>,
    /// Which direction is good; if not given, fewer for counts and more for all else.
    pub better: Option<Better>,
    /// Smallest change worth having: per cent for counts (50 if not given), else in the unit of the reading.
    pub worthwhile: Option<f64>,
    /// Accepted chance of a false claim.
    pub alpha: f64,
    /// Method that the others need only come close to.
    pub reference: Option<String>,
    /// How much worse than the reference would still do, per cent.
    pub margin: f64,
    /// Animals per square metre above which action pays, by your own figure; of a table only with `area`.
    pub threshold: Option<f64>,
    /// Treatments were not drawn at random: no randomisation test.
    pub not_randomised: bool,
    /// What the verdict is about where blocks hold several plots of a treatment: these blocks, or blocks like these; if
    /// not given, the second from three blocks on.
    pub verdict_about: Option<VerdictAbout>,
    /// Seed of sampled allocations; if not given, that of the draw, or 1 for a table.
    pub seed: Option<u64>,
}

impl Default for Request {
    fn default() -> Self {
        Self {
            dir: None,
            counts: None,
            count: String::new(),
            treatment: String::new(),
            control: String::new(),
            block: None,
            row: None,
            column: None,
            plot: None,
            before: None,
            area: None,
            response: ResponseKind::Count,
            outside: None,
            better: None,
            worthwhile: None,
            alpha: 0.05,
            reference: None,
            margin: 20.0,
            threshold: None,
            not_randomised: false,
            verdict_about: None,
            seed: None,
        }
    }
}

/// The `result` of `judge`.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(untagged)]
pub enum Judged {
    /// Of counts.
    Counts(Box<Results<Judgement>>),
    /// Of readings.
    Readings(Box<Results<TurfJudgement>>),
}

/// Seed of sampled allocations where none is given.
const SEED: u64 = 1;

/// Judges a trial, whose results are kept in its folder, or a table.
///
/// # Errors
/// Neither a folder nor a table, or both; what cannot be read, and counts with faults, all at once.
pub fn run(request: &Request, at: &Surroundings<'_>) -> Result<Answer<Judged>, Refusal> {
    within_limits(&[
        (JUDGE_ALPHA, Some(request.alpha)),
        (JUDGE_MARGIN, Some(request.margin)),
        (JUDGE_WORTHWHILE, request.worthwhile),
        (JUDGE_THRESHOLD, request.threshold),
    ])?;
    match (&request.dir, &request.counts) {
        (Some(dir), None) => {
            table::nothing_asked_of_tables(request)?;
            let folder = TrialFolder::open(at.sources, dir)?;
            let answer = of_trial(&folder, request)?;
            let file = kept(&folder, &answer)?;
            Ok(answer.keeping(vec![file]))
        }
        (None, Some(file)) => {
            table::threshold_of_densities(request)?;
            let seed = request.seed.unwrap_or(SEED);
            if request.response == ResponseKind::Count {
                let data = table::data(file, request, seed, at.sources)?;
                judged(data, request, seed, None).map_err(|refusal| table::of_file(file, refusal))
            } else {
                turf::of_table(file, request, seed, at.sources)
            }
        }
        (None, None) => {
            let what = "neither a trial folder nor a table of counts is given";
            Err(Error::in_field("dir", what, "Name one of them.").into())
        }
        (Some(_), Some(_)) => {
            let what = "a trial folder is given as well, and one of them is judged at a time";
            Err(Error::in_field("counts", what, "Leave one of them out.").into())
        }
    }
}

/// Judges a trial, whether animals are counted in it or readings taken.
fn of_trial(folder: &TrialFolder<'_>, request: &Request) -> Result<Answer<Judged>, Refusal> {
    let read = trial::protocol(folder)?;
    if !read.protocol.response.kind.is_count() {
        return turf::of_trial(folder, read, request);
    }
    let trial = trial::trial(folder, request.seed)?;
    let ground = trial_ground(&trial.data, trial.seed)?;
    let of_trial = OfTrial::new(&trial.differences, &trial.events, &ground);
    judged(trial.data, request, trial.seed, Some(of_trial))
}

/// Whether a trial can be judged: reads it as `judge` does, and goes as far as `judge` may refuse it.
pub(super) fn stands(folder: &TrialFolder<'_>) -> Result<(), Refusal> {
    let read = trial::protocol(folder)?;
    if read.protocol.response.kind.is_count() {
        let trial = trial::trial(folder, None)?;
        Ok(can_be_judged(&trial.data, trial.seed)?)
    } else {
        turf::of_trial(folder, read, &Request::default()).map(|_| ())
    }
}

/// Judges counts, beside a reference if one is named.
fn judged(
    mut data: TrialData,
    request: &Request,
    seed: u64,
    of_trial: Option<OfTrial>,
) -> Result<Answer<Judged>, Refusal> {
    if let Some(treatment) = &request.reference {
        data.secondary.reference = Some(Reference {
            treatment: treatment.clone(),
            margin_percent: request.margin,
        });
    }
    let (judgement, warnings) = judge(&data, seed)?;
    let answer = answer(&data, &judgement, warnings, seed);
    let results = |judgement: &Judgement| Results {
        judgement: judgement.clone(),
        of_trial,
    };
    Ok(answer.map(|found| Judged::Counts(Box::new(results(found)))))
}

/// What `judge` gives back for a judgement.
pub(super) fn answer<'a>(
    data: &TrialData,
    judgement: &'a Judgement,
    warnings: Vec<Warning>,
    seed: u64,
) -> Answer<&'a Judgement> {
    let words = words::words(data, judgement);
    let answer = Answer::new(judgement, words).with_warnings(warnings);
    answer.with_seed(seed)
}

/// The results of a trial as a file of its folder, where `next` looks for them.
pub(super) fn kept<R: Serialize>(
    folder: &TrialFolder<'_>,
    answer: &Answer<R>,
) -> Result<NewFile, Error> {
    Ok(folder.own_file("judge", RESULTS, answer.document("judge")?))
}
