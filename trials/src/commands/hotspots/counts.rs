//! Counts with places on one green: a trial's plots or any table.

use std::path::Path;

use serde::Serialize;

use super::super::columns::{named_once, refused};
use super::super::trial::{Trial, outline_file};
use super::super::{Answer, Refusal, Surroundings};
use super::words::words;
use super::{Found, Request, files_in, nearest_four, needed, sheet};
use crate::area::Outline;
use crate::mapping::{
    CountedGreen, CovariateFinding, CoverPlan, CoverStep, Direction, Hotspots, Strip, Surface,
    Survey, SurveyColumns, Weights, best_strips, covariates_from_table, hotspots, pictures,
    site_covariates, surface, survey_from_table, survey_from_trial,
};
use crate::{Error, Warning};

/// What was found on one green.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Surveyed {
    /// Clusters and hot spots.
    #[serde(flatten)]
    pub found: Hotspots,
    /// What counts do along the site covariates that were named.
    pub site_covariates: Vec<CovariateFinding>,
    /// The surface between the places, where the counts allow one.
    pub surface: Option<Surface>,
    /// Strips of sheet, best first; none without an outline.
    pub cover_plan: Vec<Strip>,
    /// What the strips reach, one after another.
    pub cover_curve: Vec<CoverStep>,
    /// In which direction they lie, and why.
    pub direction: Option<Direction>,
}

/// Counts with places, and what is known of the green.
struct Counted {
    survey: Survey,
    outline: Option<Outline>,
    weights: Weights,
    site_covariates: Vec<CovariateFinding>,
    warnings: Vec<Warning>,
}

/// The plots of a trial on one green.
pub(super) fn of_trial(request: &Request, trial: Trial) -> Result<Answer<Found>, Refusal> {
    let survey = survey_from_trial(&trial.data)?;
    let nearest = nearest_four(survey.places.len());
    look(
        request,
        Counted {
            weights: request.weights.unwrap_or(nearest),
            outline: trial.greens.into_iter().next().map(|g| g.outline),
            site_covariates: Vec::new(),
            warnings: trial.data.warnings,
            survey,
        },
    )
}

/// Any table of counts with places.
pub(super) fn of_table(
    request: &Request,
    table: &Path,
    at: &Surroundings<'_>,
) -> Result<Answer<Found>, Refusal> {
    let columns = SurveyColumns {
        x: needed("x", request.x.as_ref())?.to_owned(),
        y: needed("y", request.y.as_ref())?.to_owned(),
        count: needed("count", request.count.as_ref())?.to_owned(),
        with: request.with.clone(),
    };
    named_once(&named(request)[..3])?;
    let (shown, text) = (table.display().to_string(), at.sources.table(table)?);
    let (survey, mut warnings) = survey_from_table(&shown, &text, &columns)
        .map_err(|faults| refused(faults, (&shown, &text), &named(request)))?;
    let outline = request.outline.as_deref();
    let outline = outline
        .map(|file| outline_file(at.sources, file))
        .transpose()?;
    let repairs = outline.iter().flat_map(|o| &o.repairs);
    warnings.extend(repairs.cloned().map(Warning::from));
    let site_covariates = if request.ground.is_empty() {
        Vec::new()
    } else {
        let columns = covariates_from_table(&shown, &text, &columns.count, &request.ground)
            .map_err(|faults| refused(faults, (&shown, &text), &named(request)))?;
        let (found, told) = site_covariates(&survey, &columns)?;
        warnings.extend(told);
        found
    };
    look(
        request,
        Counted {
            weights: request.weights.unwrap_or(Weights::Queen),
            survey,
            outline,
            site_covariates,
            warnings,
        },
    )
}

/// The columns that the request names.
fn named(request: &Request) -> Vec<(&str, Option<&str>)> {
    let covariates = request
        .ground
        .iter()
        .map(|name| ("ground", Some(name.as_str())));
    [
        ("x", request.x.as_deref()),
        ("y", request.y.as_deref()),
        ("count", request.count.as_deref()),
        ("with", request.with.as_deref()),
    ]
    .into_iter()
    .chain(covariates)
    .collect()
}

fn look(request: &Request, counted: Counted) -> Result<Answer<Found>, Refusal> {
    let Counted {
        survey,
        outline,
        weights,
        site_covariates,
        mut warnings,
    } = counted;
    let permutations = request.permutations as usize;
    let found = hotspots(&survey, weights, permutations, request.seed)?;
    warnings.extend(found.cautions.iter().cloned().map(Warning::from));
    let surface = match surface(&survey)? {
        Ok(surface) => Some(surface),
        Err(caution) => {
            warnings.push(caution.into());
            None
        }
    };
    let cover = cover(request, &survey, outline.as_ref(), surface.as_ref())?;
    if cover.is_none() {
        warnings.push(Warning {
            code: "no-outline",
            message: "No outline is given: there is no cover plan. Give --outline.".to_owned(),
            place: None,
        });
    }
    let drawn = || pictures(&found, surface.as_ref(), cover.as_ref(), outline.as_ref());
    let files = files_in(request.out.as_deref(), drawn)?;
    let words = words(&found, &site_covariates, cover.as_ref(), &files);
    let (cover_plan, cover_curve, directions) =
        cover.map_or_else(Default::default, |c| (c.strips, c.curve, c.directions));
    let result = Surveyed {
        found,
        site_covariates,
        surface,
        cover_plan,
        cover_curve,
        direction: directions.into_iter().next(),
    };
    Ok(Answer::new(Found::Counts(Box::new(result)), words)
        .with_warnings(warnings)
        .with_files(files)
        .with_seed(request.seed))
}

/// The cover plan, where the outline is known.
fn cover(
    request: &Request,
    survey: &Survey,
    outline: Option<&Outline>,
    surface: Option<&Surface>,
) -> Result<Option<CoverPlan>, Error> {
    let Some(outline) = outline else {
        return Ok(None);
    };
    let green = CountedGreen {
        name: None,
        outline,
        survey,
        surface,
    };
    best_strips(&[green], &sheet(request), request.seed).map(Some)
}
