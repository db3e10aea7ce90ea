//! `pool`: what does a method do at clubs at large?

mod archived;
mod counts;
mod files;
mod inputs;
mod words;

use std::path::PathBuf;

use halfgreen_analysis::comparison::Better;
use halfgreen_analysis::meta_analysis::{BetweenVariance, IntervalMethod, PoolOptions};
use serde::{Deserialize, Serialize};

use super::request::required;
use super::{Answer, Refusal, Surroundings};
use crate::Error;
use crate::association::{Asked, Association, anonymise, associate, gather};
use crate::ranges::request::{POOL_ALPHA, POOL_WORTHWHILE};
use crate::ranges::within_limits;

/// What is asked of `pool`: trials in any form, how they are pooled, what is told of them.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Request {
    /// Trial folders, archives, results that `judge` kept (`.json`), tables of effects; tables of counts where `count` is given.
    pub files: Vec<PathBuf>,
    /// A table of effects beside them.
    pub effects: Option<PathBuf>,
    /// Column that names the trial, of a table of counts.
    pub trial: Option<String>,
    /// Column that names the club.
    pub club: Option<String>,
    /// Column of the year.
    pub season: Option<String>,
    /// Column of the counts; with it files are tables of counts, and each trial is judged by itself.
    pub count: Option<String>,
    /// Column of the treatments.
    pub treatment: String,
    /// Treatment that is the control.
    pub control: String,
    /// Column of the blocks.
    pub block: Option<String>,
    /// Column that names the plot, where several lines are cores of one plot.
    pub plot: Option<String>,
    /// Column of the counts before treatment.
    pub before: Option<String>,
    /// Column of the sampled areas, square metres.
    pub area: Option<String>,
    /// Which direction is good, of a table of counts.
    pub better: Option<Better>,
    /// Treatments of a table of counts were not drawn at random.
    pub not_randomised: bool,
    /// Code of the method to tell of first; that of most trials if not given.
    pub about: Option<String>,
    /// Estimator of the variance between trials.
    pub method: Between,
    /// How the interval is made.
    pub interval: IntervalMethod,
    /// What effects are held against: soil, month, wetness, a column.
    pub moderator: Vec<String>,
    /// Accepted chance of a false claim, over all methods together.
    pub alpha: f64,
    /// Smallest change worth having, per cent.
    pub worthwhile: f64,
    /// Salt from which clubs get codes in the place of their names.
    pub anonymise: Option<String>,
    /// Title of the pages.
    pub title: String,
    /// Folder that pages, figures and tables are written to.
    pub out: Option<PathBuf>,
    /// Seed of sampled allocations where trials are judged; if not given, that of each draw.
    pub seed: Option<u64>,
}

/// Estimator of the variance between trials, by the name that is typed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Between {
    /// Restricted maximum likelihood.
    #[default]
    Reml,
    /// `DerSimonian` and Laird's moments.
    Dl,
    /// Paule and Mandel's.
    Pm,
}

impl Between {
    fn estimator(self) -> BetweenVariance {
        match self {
            Self::Reml => BetweenVariance::RestrictedMaximumLikelihood,
            Self::Dl => BetweenVariance::DerSimonianLaird,
            Self::Pm => BetweenVariance::PauleMandel,
        }
    }
}

impl Default for Request {
    fn default() -> Self {
        Self {
            files: Vec::new(),
            effects: None,
            trial: None,
            club: None,
            season: None,
            count: None,
            treatment: String::new(),
            control: String::new(),
            block: None,
            plot: None,
            before: None,
            area: None,
            better: None,
            not_randomised: false,
            about: None,
            method: Between::default(),
            interval: IntervalMethod::default(),
            moderator: Vec::new(),
            alpha: 0.05,
            worthwhile: 50.0,
            anonymise: None,
            title: "The trials of our clubs".to_owned(),
            out: None,
            seed: None,
        }
    }
}

/// Reads and judges the trials, pools them, and tells it.
///
/// # Errors
/// Nothing to pool, a request that contradicts itself, a salt that is too short. A trial that cannot be used stops no other.
pub fn run(request: &Request, at: &Surroundings<'_>) -> Result<Answer<Association>, Refusal> {
    within_limits(&[
        (POOL_ALPHA, Some(request.alpha)),
        (POOL_WORTHWHILE, Some(request.worthwhile)),
    ])?;
    asked_alike(request)?;
    let read = inputs::read(request, at)?;
    let mut gathered = gather(read.effects, read.left_out);
    gathered.warnings.extend(read.warnings);
    let anonymised = request.anonymise.is_some();
    if let Some(salt) = &request.anonymise {
        gathered = anonymise(gathered, salt)?;
    }
    let asked = Asked {
        treatment: request.about.clone(),
        alpha: request.alpha,
        worthwhile_percent: request.worthwhile,
        moderators: request.moderator.clone(),
        options: PoolOptions {
            between: request.method.estimator(),
            interval: request.interval,
            level: 1.0 - request.alpha,
        },
    };
    let (found, warnings) = associate(&gathered, &asked, anonymised)?;
    let words = words::words(&found, request);
    let mut answer = Answer::new(found, words).with_warnings(warnings);
    if let Some(out) = &request.out {
        let files = files::files(out, &gathered, &answer, request)?;
        answer.words.written(&files);
        answer = answer.with_files(files);
    }
    Ok(answer)
}

/// Refuses what cannot be meant.
fn asked_alike(request: &Request) -> Result<(), Refusal> {
    if request.files.is_empty() && request.effects.is_none() {
        let what = "nothing is given to pool";
        let cure = "Name trial folders, results or tables of effects.";
        return Err(Error::in_field("files", what, cure).into());
    }
    if request.count.is_some() {
        required(&[
            ("treatment", &request.treatment),
            ("control", &request.control),
        ])?;
        if request.trial.is_none() {
            let what = "the column that tells the trials apart is not named";
            let cure = "Name it; a table of one trial is for `halfgreen judge`.";
            return Err(Error::in_field("trial", what, cure).into());
        }
        return Ok(());
    }
    let of_counts = [
        ("trial", request.trial.is_some()),
        ("club", request.club.is_some()),
        ("season", request.season.is_some()),
        ("treatment", !request.treatment.is_empty()),
        ("control", !request.control.is_empty()),
        ("block", request.block.is_some()),
        ("plot", request.plot.is_some()),
        ("before", request.before.is_some()),
        ("area", request.area.is_some()),
        ("better", request.better.is_some()),
        ("not_randomised", request.not_randomised),
    ];
    let asked = of_counts.iter().filter(|(_, given)| *given);
    let faults: Vec<Error> = asked
        .map(|(field, _)| {
            let what = "this is for tables of counts, and no column of counts is named";
            Error::in_field(*field, what, "Name it with --count, or leave this out.")
        })
        .collect();
    if faults.is_empty() {
        Ok(())
    } else {
        Err(faults.into())
    }
}
