//! `grid`: sample points on a green, numbered in walking order.

use std::fmt::Write;
use std::path::PathBuf;

use halfgreen_analysis::power::survey::Precision;
use serde::Serialize;

use super::clock;
use super::commands::Context;
use super::files;
use super::law::Law;
use super::output::{Output, Refusal};
use super::show::GOOD;
use crate::fieldwork::map::grid_map;
use crate::scouting::grid::{
    Density, Grid, GridPlan, Pattern, grid, points_csv, points_geojson, tape_lines, tape_text,
};
use crate::scouting::survey_size::{SurveySize, survey_size};
use crate::store::{NewFile, Replace, spare_inputs, write_all};
use crate::{Error, Warning};

/// Arguments of `grid`.
#[derive(Debug, clap::Args)]
#[command(group = clap::ArgGroup::new("density").required(true).args(["points", "spacing", "precision"]))]
pub(super) struct Args {
    /// Outline: `x_m,y_m` or tape offsets (CSV), GeoJSON, or a walk round the edge (GPX)
    outline: PathBuf,
    /// Number of points wanted
    #[arg(long, value_name = "N")]
    points: Option<usize>,
    /// Distance between points, metres
    #[arg(long, value_name = "M")]
    spacing: Option<f64>,
    /// Standard error over the mean that the survey must reach; sets the number of points
    #[arg(long, value_name = "D", requires = "mean")]
    precision: Option<f64>,
    /// Take the precision as the half-width of an interval of this confidence, such as 0.95
    #[arg(long, value_name = "LEVEL", requires = "precision")]
    confidence: Option<f64>,
    /// Mean count of a core that is expected
    #[arg(long, value_name = "M", requires = "precision")]
    mean: Option<f64>,
    /// Area of a core, square metres: a small green then needs fewer
    #[arg(long, value_name = "M2", requires = "precision")]
    core_area: Option<f64>,
    #[command(flatten)]
    law: Law,
    /// How the points lie
    #[arg(long, default_value = "square", value_parser = ["square", "triangular", "random", "stratified", "zigzag"])]
    pattern: String,
    /// Distance kept from the edge, metres
    #[arg(long, value_name = "M", default_value_t = 0.0)]
    margin: f64,
    /// Folder for the map, the points (CSV, GeoJSON) and the tape instructions
    #[arg(long, value_name = "DIR")]
    out: Option<PathBuf>,
}

pub(super) fn run(args: &Args, context: &Context) -> Result<Output, Refusal> {
    let outline = files::outline_file(&args.outline)?;
    let seed = context.seed.unwrap_or_else(clock::fresh_seed);
    let survey = survey(args, outline.area_m2())?;
    let plan = GridPlan {
        pattern: match args.pattern.as_str() {
            "triangular" => Pattern::Triangular,
            "random" => Pattern::Random,
            "stratified" => Pattern::Stratified,
            "zigzag" => Pattern::Zigzag,
            _ => Pattern::Square,
        },
        density: match (args.points.or(survey.map(|s| s.cores)), args.spacing) {
            (Some(points), _) => Density::Points(points),
            (None, spacing) => Density::Spacing(spacing.unwrap_or_default()),
        },
        margin_m: args.margin,
        seed,
    };
    let found = grid(&outline, &plan)?;
    let mut written = Vec::new();
    if let Some(folder) = &args.out {
        let mut file = |name: &str, text: String| {
            written.push(NewFile {
                path: folder.join(name),
                text,
                replace: Replace::Own,
            });
        };
        file("map.svg", grid_map(&outline, &found, "Sample points")?);
        file("points.csv", points_csv(&found));
        if let Some(places) = points_geojson(&found) {
            file("points.geojson", places);
        }
        file(
            "tape.txt",
            tape_text(&outline, &tape_lines(&outline, &found.points)),
        );
        spare_inputs(&written, &[&args.outline])?;
        write_all(&written)?;
    }
    let warnings = outline.repairs.iter().cloned().map(Warning::from).collect();
    let mut text = survey.map(|s| s.sentence() + "\n\n").unwrap_or_default();
    text.push_str(&words(&found, &written));
    let answer = Answer {
        grid: found,
        survey,
    };
    let mut output = Output::new(&answer, text)?.with_warnings(warnings);
    output.seed = Some(seed);
    Ok(output)
}

/// The `result` of `grid`.
#[derive(Debug, Serialize)]
struct Answer {
    #[serde(flatten)]
    grid: Grid,
    #[serde(skip_serializing_if = "Option::is_none")]
    survey: Option<SurveySize>,
}

/// The number of cores for the precision asked for, if one is.
fn survey(args: &Args, green_area_m2: f64) -> Result<Option<SurveySize>, Error> {
    let (Some(share), Some(mean)) = (args.precision, args.mean) else {
        return Ok(None);
    };
    let precision = match args.confidence {
        Some(level) => Precision::HalfWidth { share, level },
        None => Precision::StandardError(share),
    };
    let areas = args.core_area.map(|core| (green_area_m2, core));
    survey_size(args.law.law(), mean, precision, areas).map(Some)
}

/// The grid in words.
fn words(found: &Grid, written: &[NewFile]) -> String {
    let mut text = String::new();
    // Writing into a text cannot fail.
    let mut push = |what: std::fmt::Arguments<'_>| text.write_fmt(what).unwrap_or_default();
    push(format_args!(
        "{GOOD}{} points{GOOD:#}, {:.2} m apart, on {:.1} m2 (edge {:.1} m); the walk is {:.0} m.\n\n",
        found.points.len(),
        found.spacing_m,
        found.area_m2,
        found.perimeter_m,
        found.route_length_m
    ));
    for p in &found.points {
        push(format_args!(
            "{:>5}  {:>8.2}  {:>8.2}\n",
            p.id, p.x_m, p.y_m
        ));
    }
    for file in written {
        push(format_args!("Written: {}\n", file.path.display()));
    }
    text
}
