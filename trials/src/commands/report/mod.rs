//! `report`: the verdict as pages and pictures.

mod formats;
mod next_season;
mod files;
mod turf;

use std::path::PathBuf;

use serde::{Deserialize, Serialize};

use super::judge::{self, OfTrial};
use super::order::night_cost;
use super::request::required;
use super::trial;
use super::{Answer, Refusal, Surroundings, Words};
use crate::Warning;
use crate::judgement::{Verdict, judge as judged};
use crate::mapping::trial_ground;
use crate::next_season::after_trial::{AfterTrial, outcomes};
use crate::report::{Findings, pages};
use crate::store::{NewFile, TrialFolder};

pub use formats::Format;

/// What is asked of `report`.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Request {
    /// Folder of the trial.
    pub dir: PathBuf,
    /// Seed of sampled allocations; if not given, that of the draw.
    pub seed: Option<u64>,
    /// In which forms it is told. Figures, their numbers and `results.json` are always written.
    pub format: Vec<Format>,
    /// Figures as PNG as well, at print size.
    pub png: bool,
}

impl Default for Request {
    fn default() -> Self {
        Self {
            dir: PathBuf::new(),
            seed: None,
            format: vec![Format::Html],
            png: false,
        }
    }
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
/// A trial folder that cannot be read, and counts with faults, all at once; no form at all; a PDF where nothing prints;
/// PNG in a build without it.
pub fn run(request: &Request, at: &Surroundings<'_>) -> Result<Answer<Written>, Refusal> {
    required(&[("dir", &request.dir)])?;
    request.can_be_had()?;
    let folder = TrialFolder::open(at.sources, &request.dir)?;
    let read = trial::protocol(&folder)?;
    if !read.protocol.response.kind.is_count() {
        return turf::answer(&folder, read, request, at);
    }
    let told = tell(&folder, request, at)?;
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
pub(super) fn tell(
    folder: &TrialFolder<'_>,
    request: &Request,
    at: &Surroundings<'_>,
) -> Result<Told, Refusal> {
    let trial = trial::trial(folder, request.seed)?;
    let (judgement, warnings) = judged(&trial.data, trial.seed)?;
    let ground = trial_ground(&trial.data, trial.seed)?;
    let judged = judge::answer(&trial.data, &judgement, warnings, trial.seed);
    let warnings = judged.warnings.clone();
    let results = judge::kept(
        folder,
        &judged.map(|judgement| judge::Results {
            judgement,
            of_trial: Some(OfTrial::new(&trial.differences, &trial.events, &ground)),
        }),
    )?;
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
        differences: &trial.differences,
        events: &trial.events,
        reporting: &trial.reporting,
        counts: &trial.counts,
        data: &trial.data,
        judgement: &judgement,
        warnings: &warnings,
        seed: trial.seed,
        ground: &ground,
        next: &next,
        night: night_cost(folder, &trial).as_ref(),
        read: &trial.read,
    })?;
    Ok(Told {
        files: files::of(folder, pages, results, request, at)?,
        words: judge::told(&judgement),
        warnings,
        seed: trial.seed,
        verdicts: judgement.verdicts,
        next: next.sentence,
    })
}
