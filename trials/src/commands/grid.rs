//! `grid`: sample points on a green, numbered in walking order.

use std::path::{Path, PathBuf};

use halfgreen_analysis::power::survey::Precision;
use serde::{Deserialize, Serialize};

use super::law::Law;
use super::request::required;
use super::trial::outline_file;
use super::{Answer, Refusal, Side, Status, Surroundings, Table, Words};
use crate::area::Outline;
use crate::fieldwork::map::grid_map;
use crate::ranges::request::{
    GRID_CONFIDENCE, GRID_CORE_AREA, GRID_MARGIN, GRID_MEAN, GRID_POINTS, GRID_PRECISION,
    GRID_SPACING,
};
use crate::ranges::within_limits;
use crate::scouting::grid::{
    Density, Grid, GridPlan, Pattern, grid, points_csv, points_geojson, tape_lines, tape_text,
};
use crate::scouting::survey_size::{Areas, SurveySize, survey_size};
use crate::store::NewFile;
use crate::{Error, Warning};

/// What is asked of `grid`. One of `points`, `spacing` and `precision` says how many points there are.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Request {
    /// Outline: corners or tape offsets (CSV), GeoJSON, or a walk round the edge (GPX).
    pub outline: PathBuf,
    /// Number of points wanted.
    pub points: Option<usize>,
    /// Distance between points, metres.
    pub spacing: Option<f64>,
    /// Standard error over the mean that the survey must reach.
    pub precision: Option<f64>,
    /// Takes the precision as the half-width of an interval of this confidence.
    pub confidence: Option<f64>,
    /// Mean count of a core that is expected, for a precision; of a square metre with `per_m2`.
    pub mean: Option<f64>,
    /// Takes the mean as larvae per square metre, which needs the area of a core.
    pub per_m2: bool,
    /// Area of a core, square metres: a small green then needs fewer.
    pub core_area: Option<f64>,
    /// How clumped cores are, for a precision.
    pub law: Law,
    /// How the points lie.
    pub pattern: Pattern,
    /// Distance kept from the edge, metres.
    pub margin: f64,
    /// Whole number from which the random start follows; fresh where none is given.
    pub seed: Option<u64>,
    /// Folder for the map, the points and the tape instructions.
    pub out: Option<PathBuf>,
}

impl Default for Request {
    fn default() -> Self {
        Self {
            outline: PathBuf::new(),
            points: None,
            spacing: None,
            precision: None,
            confidence: None,
            mean: None,
            per_m2: false,
            core_area: None,
            law: Law::default(),
            pattern: Pattern::Square,
            margin: 0.0,
            seed: None,
            out: None,
        }
    }
}

/// The result of `grid`.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Sampled {
    /// The points.
    #[serde(flatten)]
    pub grid: Grid,
    /// How many cores the precision takes, where one was asked for.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub survey: Option<SurveySize>,
}

/// Lays a sample grid.
///
/// # Errors
/// An outline that cannot be read, numbers outside their limits, not exactly one way to say how many points, a
/// margin that leaves no ground.
pub fn run(request: &Request, at: &Surroundings<'_>) -> Result<Answer<Sampled>, Refusal> {
    required(&[("outline", &request.outline)])?;
    checked(request)?;
    let outline = outline_file(at.sources, &request.outline)?;
    let seed = request.seed.unwrap_or(at.fresh_seed);
    let survey = survey(request, outline.area_m2())?;
    let density = match (request.points.or(survey.map(|s| s.cores)), request.spacing) {
        (Some(points), _) => Density::Points(points),
        (None, spacing) => Density::Spacing(spacing.unwrap_or_default()),
    };
    let plan = GridPlan {
        pattern: request.pattern,
        density,
        margin_m: request.margin,
        seed,
    };
    let found = grid(&outline, &plan)?;
    let files = match &request.out {
        Some(folder) => files(folder, &outline, &found)?,
        None => Vec::new(),
    };
    let repairs = outline.repairs.iter().cloned().map(Warning::from);
    let warnings = repairs
        .chain(of_a_zigzag(&found, survey.is_some()))
        .collect();
    let words = words(&found, survey.as_ref(), &files);
    let result = Sampled {
        grid: found,
        survey,
    };
    Ok(Answer::new(result, words)
        .with_warnings(warnings)
        .with_files(files)
        .with_seed(seed))
}

fn checked(request: &Request) -> Result<(), Refusal> {
    within_limits(&[
        (GRID_POINTS, request.points.map(|n| n as f64)),
        (GRID_SPACING, request.spacing),
        (GRID_PRECISION, request.precision),
        (GRID_CONFIDENCE, request.confidence),
        (GRID_MEAN, request.mean),
        (GRID_CORE_AREA, request.core_area),
        (GRID_MARGIN, Some(request.margin)),
    ])?;
    let ways = [
        request.points.is_some(),
        request.spacing.is_some(),
        request.precision.is_some(),
    ];
    if ways.into_iter().filter(|given| *given).count() != 1 {
        let what = "one number must say how many points there are";
        let cure = "Give the points, their spacing or the precision, and only one of them.";
        return Err(Error::in_field("points", what, cure).into());
    }
    if request.precision.is_some() && request.mean.is_none() {
        let cure = "Give the mean count of a core that is expected.";
        return Err(Error::in_field("mean", "a precision needs it", cure).into());
    }
    if request.per_m2 && (request.core_area.is_none() || request.mean.is_none()) {
        let what = "a mean per square metre needs the mean and the area of a core";
        let cure = "Give the area of a core in square metres, and the mean that is expected.";
        return Err(Error::in_field("core_area", what, cure).into());
    }
    Ok(())
}

/// What a zigzag leaves out, and that no precision can be promised of it.
fn of_a_zigzag(found: &Grid, promised: bool) -> Vec<Warning> {
    let Some(left_out) = &found.left_out else {
        return Vec::new();
    };
    let warning = |code, message| Warning {
        code,
        message,
        place: None,
    };
    let mut warnings: Vec<Warning> = left_out
        .sentence()
        .map(|said| warning("ground-left-out", said))
        .into_iter()
        .collect();
    if promised {
        let said = "The precision is that of cores taken anywhere on the green, all places alike. A zigzag favours the middle: \
                    how far its mean may be out is not known. Take --pattern stratified or random for an estimate.";
        warnings.push(warning("precision-not-promised", said.to_owned()));
    }
    warnings
}

/// The number of cores for the precision asked for, if one is.
fn survey(request: &Request, green_m2: f64) -> Result<Option<SurveySize>, Error> {
    let (Some(share), Some(mean)) = (request.precision, request.mean) else {
        return Ok(None);
    };
    let mean = match request.core_area.filter(|_| request.per_m2) {
        Some(core_m2) => mean * core_m2,
        None => mean,
    };
    let precision = match request.confidence {
        Some(level) => Precision::HalfWidth { share, level },
        None => Precision::StandardError(share),
    };
    let areas = request.core_area.map(|core_m2| Areas { green_m2, core_m2 });
    survey_size(request.law.variance_law()?, mean, precision, areas).map(Some)
}

fn files(folder: &Path, outline: &Outline, found: &Grid) -> Result<Vec<NewFile>, Error> {
    let file = |name: &str, text: String| NewFile::own("grid", folder, name, text);
    let mut files = vec![
        file("map.svg", grid_map(outline, found, "Sample points")?),
        file("points.csv", points_csv(found)),
    ];
    files.extend(points_geojson(found).map(|places| file("points.geojson", places)));
    let tape = tape_text(outline, &tape_lines(outline, &found.points));
    files.push(file("tape.txt", tape));
    Ok(files)
}

/// The grid in words.
fn words(found: &Grid, survey: Option<&SurveySize>, files: &[NewFile]) -> Words {
    let mut words = Words::default();
    words.paragraph(survey.map(SurveySize::sentence));
    words.paragraph([super::Line::told(
        Status::Good,
        format!("{} points", found.points.len()),
        format!(
            ", {:.2} m apart, on {:.1} m2 (edge {:.1} m); the walk is {:.0} m.",
            found.spacing_m, found.area_m2, found.perimeter_m, found.route_length_m
        ),
    )]);
    let mut table = Table::new([
        ("point", Side::Right),
        ("x (m)", Side::Right),
        ("y (m)", Side::Right),
    ]);
    for p in &found.points {
        table.row([
            p.id.to_string(),
            format!("{:.2}", p.x_m),
            format!("{:.2}", p.y_m),
        ]);
    }
    words.table(table);
    words.written(files);
    words
}
