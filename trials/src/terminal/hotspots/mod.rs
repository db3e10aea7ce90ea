//! `hotspots`: where are they, and where does the sheet earn most?

mod greens;
mod positions;
mod words;

use std::path::{Path, PathBuf};

use serde::Serialize;

use super::commands::Context;
use super::files;
use super::output::{Output, Refusal};
use crate::area::Outline;
use crate::mapping::{
    CountedGreen, CoverStep, Direction, GroundFinding, Hotspots, PictureFile, Sheet, Strip,
    Surface, Survey, SurveyColumns, Weights, best_strips, ground, ground_from_table, hotspots,
    pictures, surface, survey_from_table, survey_from_trial,
};
use crate::store::{NewFile, Replace, TrialFolder, read_text, write_all};
use crate::{Error, Warning};
use words::words;

/// Arguments of `hotspots`.
#[derive(Debug, clap::Args)]
#[command(group = clap::ArgGroup::new("what").required(true).args(["dir", "counts", "positions"]))]
pub(super) struct Args {
    /// Folder of a trial: its plots' counts on the main occasion
    dir: Option<PathBuf>,
    /// Table of counts with places (CSV)
    #[arg(long, value_name = "FILE", requires_all = ["x", "y", "count"])]
    counts: Option<PathBuf>,
    /// Table of single positions, such as emergence holes, one a line (CSV)
    #[arg(long, value_name = "FILE", requires_all = ["x", "y", "outline"])]
    positions: Option<PathBuf>,
    /// Column of metres east
    #[arg(long, value_name = "COL", conflicts_with = "dir")]
    x: Option<String>,
    /// Column of metres north
    #[arg(long, value_name = "COL", conflicts_with = "dir")]
    y: Option<String>,
    /// Column of the counts
    #[arg(long, value_name = "COL", requires = "counts")]
    count: Option<String>,
    /// Column of a second map, such as wetness
    #[arg(long, value_name = "COL", requires = "counts")]
    with: Option<String>,
    /// Columns of what the ground is like, such as moisture or shade: numbers, or kinds in words
    #[arg(
        long,
        value_name = "COL[,COL]",
        value_delimiter = ',',
        requires = "counts"
    )]
    ground: Vec<String>,
    /// Who is a neighbour: queen or rook (on a grid), distance:M or nearest:K. Queen for a table, the
    /// four nearest plots for a trial
    #[arg(
        long,
        conflicts_with = "positions",
        value_name = "queen|rook|distance:M|nearest:K"
    )]
    weights: Option<Weights>,
    /// Arrangements drawn for each test
    #[arg(long, value_name = "N", default_value_t = 999, value_parser = clap::value_parser!(u32).range(0..=1_000_000))]
    permutations: u32,
    /// Outline of the green, for pictures and the cover plan; the ground that was searched for positions
    #[arg(long, value_name = "FILE", conflicts_with = "dir")]
    outline: Option<PathBuf>,
    /// Width of a roll of sheet, metres
    #[arg(
        long,
        conflicts_with = "positions",
        value_name = "M",
        default_value_t = 2.0
    )]
    roll_width: f64,
    /// Strips longer than this are cut, metres
    #[arg(
        long,
        conflicts_with = "positions",
        value_name = "M",
        default_value_t = 10.0
    )]
    strip_length: f64,
    /// Overlap of neighbouring strips, metres
    #[arg(
        long,
        conflicts_with = "positions",
        value_name = "M",
        default_value_t = 0.2
    )]
    lap: f64,
    /// Laying direction, degrees anticlockwise from east; without it every 5 degrees and the green's long
    /// axis are tried
    #[arg(
        long,
        conflicts_with = "positions",
        value_name = "DEG",
        allow_negative_numbers = true
    )]
    direction: Option<f64>,
    /// Sheet there is, square metres
    #[arg(long, conflicts_with = "positions", value_name = "M2")]
    sheet: Option<f64>,
    /// Folder for the pictures
    #[arg(long, value_name = "DIR")]
    out: Option<PathBuf>,
}

/// Seed of the tests where none is given.
const SEED: u64 = 1;

pub(super) fn run(args: &Args, context: &Context) -> Result<Output, Refusal> {
    let seed = context.seed.unwrap_or(SEED);
    if let Some(asked) = of_positions(args, seed) {
        return positions::run(&asked);
    }
    let trial = trial(args, seed)?;
    if let Some(several) = trial.as_ref().filter(|t| t.greens.len() > 1) {
        return greens::run(several, &of_greens(args, seed));
    }
    let (survey, outline, mut warnings) = match trial {
        Some(trial) => {
            let survey = survey_from_trial(&trial.data)?;
            let outline = trial.greens.into_iter().next().map(|g| g.outline);
            (survey, outline, trial.data.warnings)
        }
        None => survey(args)?,
    };
    let weights = args.weights.unwrap_or_else(|| match args.dir {
        // Plots seldom lie on one grid.
        Some(_) => Weights::Nearest(4.min(survey.places.len().saturating_sub(1))),
        None => Weights::Queen,
    });
    let found = hotspots(&survey, weights, args.permutations as usize, seed)?;
    warnings.extend(found.cautions.iter().cloned().map(Warning::from));
    let surface = match surface(&survey)? {
        Ok(surface) => Some(surface),
        Err(caution) => {
            warnings.push(caution.into());
            None
        }
    };
    let cover = outline
        .as_ref()
        .map(|outline| {
            let green = CountedGreen {
                name: None,
                outline,
                survey: &survey,
                surface: surface.as_ref(),
            };
            best_strips(&[green], &sheet(args), seed)
        })
        .transpose()?;
    if cover.is_none() {
        warnings.push(Warning {
            code: "no-outline",
            message: "No outline is given: there is no cover plan. Give --outline.".to_owned(),
            place: None,
        });
    }
    let link = covariate_regression(args, &survey, &mut warnings)?;
    let drawn = || pictures(&found, surface.as_ref(), cover.as_ref(), outline.as_ref());
    let written = files_in(args.out.as_deref(), drawn);
    write_all(&written)?;
    let mut text = words(&found, &link, cover.as_ref());
    text.push_str(&listed(&written));
    let answer = Answer {
        found: &found,
        ground: &link,
        surface: surface.as_ref(),
        cover_plan: cover.as_ref().map_or(&[], |c| &c.strips),
        cover_curve: cover.as_ref().map_or(&[], |c| &c.curve),
        direction: cover.as_ref().and_then(|c| c.directions.first()),
    };
    let mut output = Output::new(&answer, text)?.with_warnings(warnings);
    output.seed = Some(seed);
    Ok(output)
}

/// What is asked about single positions, where they are given.
fn of_positions(args: &Args, seed: u64) -> Option<positions::Question<'_>> {
    Some(positions::Question {
        file: args.positions.as_deref()?,
        x: args.x.as_deref()?,
        y: args.y.as_deref()?,
        outline: args.outline.as_deref()?,
        simulations: args.permutations as usize,
        out: args.out.as_deref(),
        seed,
    })
}

/// The `result` of `hotspots`.
#[derive(Debug, Serialize)]
struct Answer<'a> {
    #[serde(flatten)]
    found: &'a Hotspots,
    ground: &'a [GroundFinding],
    surface: Option<&'a Surface>,
    cover_plan: &'a [Strip],
    cover_curve: &'a [CoverStep],
    direction: Option<&'a Direction>,
}

fn sheet(args: &Args) -> Sheet {
    Sheet {
        width_m: args.roll_width,
        lap_m: args.lap,
        length_m: args.strip_length,
        direction_deg: args.direction.map(|d| d.rem_euclid(180.0)),
        stock_m2: args.sheet,
    }
}

/// The trial whose folder is given.
fn trial(args: &Args, seed: u64) -> Result<Option<files::Trial>, Refusal> {
    let Some(dir) = &args.dir else {
        return Ok(None);
    };
    let folder = TrialFolder::open(dir)?;
    Ok(Some(files::trial(&folder, Some(seed))?))
}

/// What is asked of a trial on several greens.
fn of_greens(args: &Args, seed: u64) -> greens::Question<'_> {
    greens::Question {
        weights: args.weights,
        permutations: args.permutations as usize,
        sheet: sheet(args),
        out: args.out.as_deref(),
        seed,
    }
}

fn survey(args: &Args) -> Result<(Survey, Option<Outline>, Vec<Warning>), Refusal> {
    let Some(file) = &args.counts else {
        let what = "neither a trial folder nor --counts is given";
        return Err(Error::new("hotspots", what, "Name one of them.").into());
    };
    let name = |column: &Option<String>| column.clone().unwrap_or_default();
    let columns = SurveyColumns {
        x: name(&args.x),
        y: name(&args.y),
        count: name(&args.count),
        with: args.with.clone(),
    };
    let shown = file.display().to_string();
    let (survey, mut warnings) = survey_from_table(&shown, &read_text(file)?, &columns)?;
    let outline = args
        .outline
        .as_deref()
        .map(files::outline_file)
        .transpose()?;
    if let Some(outline) = &outline {
        warnings.extend(outline.repairs.iter().cloned().map(Warning::from));
    }
    Ok((survey, outline, warnings))
}

/// Counts against the columns of the ground that were named.
fn covariate_regression(
    args: &Args,
    survey: &Survey,
    warnings: &mut Vec<Warning>,
) -> Result<Vec<GroundFinding>, Refusal> {
    let (Some(file), false) = (&args.counts, args.ground.is_empty()) else {
        return Ok(Vec::new());
    };
    let count = args.count.as_deref().unwrap_or_default();
    let shown = file.display().to_string();
    let columns = ground_from_table(&shown, &read_text(file)?, count, &args.ground)?;
    let (found, told) = ground(survey, &columns)?;
    warnings.extend(told);
    Ok(found)
}

/// The pictures as files of a folder; none without a folder.
fn files_in(dir: Option<&Path>, pictures: impl FnOnce() -> Vec<PictureFile>) -> Vec<NewFile> {
    let Some(dir) = dir else {
        return Vec::new();
    };
    let drawn = pictures().into_iter();
    drawn
        .map(|p| NewFile {
            path: dir.join(p.name),
            text: p.svg,
            replace: Replace::Own,
        })
        .collect()
}

/// A line for each file written.
fn listed(written: &[NewFile]) -> String {
    let line = |file: &NewFile| format!("written: {}\n", file.path.display());
    written.iter().map(line).collect()
}
