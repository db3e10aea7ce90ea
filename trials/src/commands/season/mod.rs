//! `season`: which greens on which night, what it costs, and is it worth it?

mod known;
mod words;

use std::path::{Path, PathBuf};

use serde::{Deserialize, Serialize};

use super::request::required;
use super::{Answer, Refusal, Surroundings};
use crate::season::{Asked, SeasonPlan, page, picture, plan_csv, read_season, reckon};
use crate::store::NewFile;
use crate::threshold::disagreement;
use crate::{Error, Warning};

/// What is asked of `season`.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Request {
    /// The season file.
    pub file: PathBuf,
    /// Seed of sampled allocations when a trial is judged; if not given, that of its draw.
    pub seed: Option<u64>,
}

/// Folder of the pages, beside the season file.
const FOLDER: &str = "season";

/// Plans a season, and writes it as a page, a table and a picture beside the file.
///
/// # Errors
/// A season file with faults, all at once; outlines, counts or a trial that cannot be read.
pub fn run(request: &Request, at: &Surroundings<'_>) -> Result<Answer<SeasonPlan>, Refusal> {
    required(&[("file", &request.file)])?;
    let shown = request.file.display().to_string();
    let file = read_season(&shown, &at.sources.text(&request.file)?)?;
    let beside = request.file.parent().unwrap_or(Path::new(""));
    let known = known::known(&file, beside, request.seed, at)?;
    let plan = reckon(&Asked {
        file: &file,
        greens: &known.greens,
        effect: &known.effect,
        methods: &known.methods,
        control: known.control,
        of_trial: &known.of_trial,
    })?;
    let files = files(beside, &plan)?;
    let words = words::words(&plan, &files);
    let mut warnings = known.warnings;
    if file.threshold_per_m2.is_some() {
        warnings.push(Warning {
            code: "thresholds-disagree",
            message: disagreement(),
            place: None,
        });
    }
    Ok(Answer::new(plan, words)
        .with_warnings(warnings)
        .with_files(files))
}

fn files(beside: &Path, plan: &SeasonPlan) -> Result<Vec<NewFile>, Error> {
    let file = |name: &str, text: String| {
        NewFile::own("season", beside, Path::new(FOLDER).join(name), text)
    };
    Ok(vec![
        file("season.html", page(plan)),
        file("plan.csv", plan_csv(plan)?),
        file("plan.svg", picture(plan)),
    ])
}
