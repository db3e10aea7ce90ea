//! `hotspots`: where are they, and where does the sheet earn most?
//!
//! Asked of a trial's folder, of a table of counts with places, or of single positions.

mod counts;
mod greens;
mod positions;
mod words;

use std::path::{Path, PathBuf};

use serde::{Deserialize, Serialize};

use super::trial::{Trial, trial};
use super::{Answer, Refusal, Surroundings};
use crate::Error;
use crate::mapping::{PictureFile, Sheet, Weights};
use crate::ranges::request::{
    HOTSPOTS_DIRECTION, HOTSPOTS_LAP, HOTSPOTS_PERMUTATIONS, HOTSPOTS_ROLL_WIDTH, HOTSPOTS_SHEET,
    HOTSPOTS_STRIP_LENGTH,
};
use crate::ranges::within_limits;
use crate::store::{NewFile, TrialFolder};

pub use counts::Surveyed;
pub use greens::{SurveyedGreenRow, SurveyedGreens};
pub use positions::Positions;

/// What is asked of `hotspots`. One of `dir`, `counts` and `positions` says of what.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Request {
    /// Folder of a trial: its plots' counts on the main occasion.
    pub dir: Option<PathBuf>,
    /// Table of counts with places.
    pub counts: Option<PathBuf>,
    /// Table of single positions, such as emergence holes, one a line.
    pub positions: Option<PathBuf>,
    /// Column of metres east.
    pub x: Option<String>,
    /// Column of metres north.
    pub y: Option<String>,
    /// Column of the counts.
    pub count: Option<String>,
    /// Column of a second map, such as wetness.
    pub with: Option<String>,
    /// Columns of site covariates, such as moisture or shade: numbers, or kinds in words.
    pub ground: Vec<String>,
    /// Who is a neighbour; the eight round a cell for a table, the four nearest plots for a trial.
    pub weights: Option<Weights>,
    /// Arrangements drawn for each test.
    pub permutations: u32,
    /// Outline of the green, for pictures and the cover plan; the ground that was searched for positions.
    pub outline: Option<PathBuf>,
    /// Width of a roll of sheet, metres.
    pub roll_width: f64,
    /// Strips longer than this are cut, metres.
    pub strip_length: f64,
    /// Overlap of neighbouring strips, metres.
    pub lap: f64,
    /// Laying direction, degrees anticlockwise from east; without it the best is searched.
    pub direction: Option<f64>,
    /// Sheet there is, square metres.
    pub sheet: Option<f64>,
    /// Whole number from which every random draw follows.
    pub seed: u64,
    /// Folder for the pictures.
    pub out: Option<PathBuf>,
}

impl Default for Request {
    fn default() -> Self {
        Self {
            dir: None,
            counts: None,
            positions: None,
            x: None,
            y: None,
            count: None,
            with: None,
            ground: Vec::new(),
            weights: None,
            permutations: 999,
            outline: None,
            roll_width: 2.0,
            strip_length: 10.0,
            lap: 0.2,
            direction: None,
            sheet: None,
            // The answer is the same each time it is asked.
            seed: 1,
            out: None,
        }
    }
}

/// The result of `hotspots`.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(untagged)]
pub enum Found {
    /// Of counts on one green.
    Counts(Box<Surveyed>),
    /// Of a trial on several greens.
    Greens(SurveyedGreens),
    /// Of single positions.
    Positions(Positions),
}

/// Looks for clusters, hot spots and the strips of sheet that reach most.
///
/// # Errors
/// Not exactly one of folder, counts and positions; files and columns that cannot be read; numbers outside their
/// limits.
pub fn run(request: &Request, at: &Surroundings<'_>) -> Result<Answer<Found>, Refusal> {
    within_limits(&[
        (HOTSPOTS_PERMUTATIONS, Some(f64::from(request.permutations))),
        (HOTSPOTS_ROLL_WIDTH, Some(request.roll_width)),
        (HOTSPOTS_STRIP_LENGTH, Some(request.strip_length)),
        (HOTSPOTS_LAP, Some(request.lap)),
        (HOTSPOTS_DIRECTION, request.direction),
        (HOTSPOTS_SHEET, request.sheet),
    ])?;
    if request.lap > 0.9 * request.roll_width {
        let what = format!(
            "{} m is no lap of a roll {} m wide: {}",
            request.lap, request.roll_width, HOTSPOTS_LAP.reason
        );
        let cure = "Give nine tenths of the width at most.";
        return Err(Error::in_field("lap", what, cure).into());
    }
    match (&request.dir, &request.counts, &request.positions) {
        (Some(dir), None, None) => {
            let folder = TrialFolder::open(at.sources, dir)?;
            of_trial(request, trial(&folder, Some(request.seed))?)
        }
        (None, Some(table), None) => counts::of_table(request, table, at),
        (None, None, Some(table)) => positions::run(request, table, at),
        _ => {
            let what = "a trial folder, counts or positions must be given, and only one of them";
            Err(Error::in_field("dir", what, "Give one of them.").into())
        }
    }
}

fn of_trial(request: &Request, trial: Trial) -> Result<Answer<Found>, Refusal> {
    if trial.greens.len() > 1 {
        greens::run(request, &trial)
    } else {
        counts::of_trial(request, trial)
    }
}

/// A text that a way of asking needs.
fn needed<'r>(field: &str, given: Option<&'r String>) -> Result<&'r str, Error> {
    let given = given.map(String::as_str).filter(|text| !text.is_empty());
    given.ok_or_else(|| Error::in_field(field, "it is not given", "Give it."))
}

fn sheet(request: &Request) -> Sheet {
    Sheet {
        width_m: request.roll_width,
        lap_m: request.lap,
        length_m: request.strip_length,
        direction_deg: request.direction.map(|d| d.rem_euclid(180.0)),
        stock_m2: request.sheet,
    }
}

/// Plots seldom lie on one grid: the nearest of them are the neighbours.
fn nearest_four(places: usize) -> Weights {
    Weights::Nearest(4.min(places.saturating_sub(1)))
}

/// The pictures as files of a folder; none without a folder.
fn files_in(
    dir: Option<&Path>,
    pictures: impl FnOnce() -> Result<Vec<PictureFile>, Error>,
) -> Result<Vec<NewFile>, Error> {
    let Some(dir) = dir else {
        return Ok(Vec::new());
    };
    let file = |p: PictureFile| NewFile::own("hotspots", dir, p.name, p.svg);
    Ok(pictures()?.into_iter().map(file).collect())
}
