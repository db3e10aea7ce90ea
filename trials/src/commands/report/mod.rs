//! `report`: the verdict as pages and pictures.

mod next_season;
mod turf;

use std::path::{Path, PathBuf};

use serde::{Deserialize, Serialize};

use super::judge;
use super::order::night_cost;
use super::request::required;
use super::trial;
use super::{Answer, Refusal, Surroundings, Words};
use crate::Warning;
use crate::judgement::{Verdict, judge as judged};
use crate::next_season::after_trial::{AfterTrial, outcomes};
use crate::report::{Findings, Pages, pages};
use crate::store::{NewFile, REPORT, TrialFolder};

/// What is asked of `report`.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Request {
    /// Folder of the trial.
    pub dir: PathBuf,
    /// Seed of sampled allocations; if not given, that of the draw.
    pub seed: Option<u64>,
}

/// The `result` of `report`.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Written {
    /// The files, as the user would type them.
    pub files: Vec<String>,
}

/// Judges a trial and makes its pages, figures and results.
///
/// # Errors
/// A trial folder that cannot be read, and counts with faults, all at once.
pub fn run(request: &Request, at: &Surroundings<'_>) -> Result<Answer<Written>, Refusal> {
    required(&[("dir", &request.dir)])?;
    let folder = TrialFolder::open(at.sources, &request.dir)?;
    let read = trial::protocol(&folder)?;
    if !read.protocol.response.kind.is_count() {
        return turf::answer(&folder, read, request.seed);
    }
    let told = tell(&folder, request.seed)?;
    Ok(answer(told.words, told.files, told.warnings, told.seed))
}

/// What `report` gives back: the verdicts in words, the files, and what the judgement warns of.
fn answer(
    mut words: Words,
    files: Vec<NewFile>,
    warnings: Vec<Warning>,
    seed: u64,
) -> Answer<Written> {
    let names: Vec<String> = files.iter().map(NewFile::shown).collect();
    words.written(&files);
    Answer::new(Written { files: names }, words)
        .with_warnings(warnings)
        .with_files(files)
        .with_seed(seed)
}

/// A report that is ready to be written.
#[derive(Debug)]
pub(super) struct Told {
    /// Pages, figures and results, which may replace those of an earlier report.
    pub(super) files: Vec<NewFile>,
    /// What the judgement warns of.
    pub(super) warnings: Vec<Warning>,
    /// Seed of sampled allocations.
    pub(super) seed: u64,
    /// The verdicts.
    pub(super) verdicts: Vec<Verdict>,
    /// Verdicts and what they rest on.
    pub(super) words: Words,
    /// What next season needs, in a sentence.
    pub(super) next: String,
}

/// Judges a trial and makes its report.
pub(super) fn tell(folder: &TrialFolder<'_>, seed: Option<u64>) -> Result<Told, Refusal> {
    let trial = trial::trial(folder, seed)?;
    let (judgement, warnings) = judged(&trial.data, trial.seed)?;
    let judged = judge::answer(&trial.data, &judgement, warnings, trial.seed);
    let results = judge::kept(folder, &judged)?;
    let after = AfterTrial {
        protocol: &trial.protocol,
        greens: &trial.greens,
        cost: &trial.supplies.cost,
        outcomes: &outcomes(&judgement),
    };
    let next = next_season::next_season(&after, &judgement);
    let pages = pages(&Findings {
        protocol: &trial.protocol,
        layout: &trial.layout,
        greens: &trial.greens,
        seal: trial.seal.as_ref(),
        counts: &trial.counts,
        data: &trial.data,
        judgement: &judgement,
        warnings: &judged.warnings,
        seed: trial.seed,
        next: &next,
        night: night_cost(folder, &trial).as_ref(),
        read: &trial.read,
    })?;
    Ok(Told {
        files: files_of(folder, pages, results),
        words: judge::told(&judgement),
        warnings: judged.warnings,
        seed: trial.seed,
        verdicts: judgement.verdicts,
        next: next.sentence,
    })
}

/// Pages, results and figures as files.
fn files_of(folder: &TrialFolder<'_>, pages: Pages, results: NewFile) -> Vec<NewFile> {
    let file =
        |name: &str, text: String| folder.own_file("report", Path::new(REPORT).join(name), text);
    let mut files = vec![
        file("report.html", pages.report),
        file("members.html", pages.members),
        results,
    ];
    let figures = pages.figures.into_iter();
    files.extend(figures.map(|f| file(&format!("{}.svg", f.name), f.svg)));
    files
}
