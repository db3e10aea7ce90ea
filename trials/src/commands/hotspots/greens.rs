//! A trial on several greens: each by itself, and one cover plan for all.

use halfgreen_analysis::random::Generator;
use serde::Serialize;

use super::super::trial::Trial;
use super::super::{Answer, Refusal};
use super::words::words_of_greens;
use super::{Found, Request, files_in, nearest_four, sheet};
use crate::design::Green;
use crate::mapping::{
    CountedGreen, CoverPlan, CoverStep, Direction, GreenRank, Hotspots, PictureFile, Strip,
    Surface, Survey, best_strips, hotspots, pictures_of_green, share_picture, surface,
    survey_from_trial,
};
use crate::{Error, Warning};

/// What was found on several greens.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SurveyedGreens {
    /// Each green.
    pub greens: Vec<SurveyedGreenRow>,
    /// Which green earns the sheet most.
    pub ranking: Vec<GreenRank>,
    /// In which direction strips lie on each green.
    pub directions: Vec<Direction>,
    /// Strips of all greens, best first.
    pub cover_plan: Vec<Strip>,
    /// What the strips reach, one after another.
    pub cover_curve: Vec<CoverStep>,
}

/// What was found on one of several greens.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SurveyedGreenRow {
    /// Its name.
    pub green: String,
    /// Clusters and hot spots.
    #[serde(flatten)]
    pub found: Hotspots,
    /// The surface between the plots, where the counts allow one.
    pub surface: Option<Surface>,
}

/// A green that was looked at.
struct Looked<'a> {
    green: &'a Green,
    name: &'a str,
    survey: Survey,
    found: Hotspots,
    surface: Option<Surface>,
}

pub(super) fn run(request: &Request, trial: &Trial) -> Result<Answer<Found>, Refusal> {
    let mut warnings = trial.data.warnings.clone();
    let mut looked = Vec::new();
    for (at, green) in trial.greens.iter().enumerate() {
        let name = green.name.as_deref().unwrap_or_default();
        // Each green draws from a stream of its own.
        let seed = Generator::new(request.seed, u64::MAX - 1000 - at as u64).bits();
        if let Some(green) = look(trial, green, name, request, seed, &mut warnings)? {
            looked.push(green);
        }
    }
    let counted: Vec<CountedGreen<'_>> = looked
        .iter()
        .map(|l| CountedGreen {
            name: Some(l.name),
            outline: &l.green.outline,
            survey: &l.survey,
            surface: l.surface.as_ref(),
        })
        .collect();
    let cover = best_strips(&counted, &sheet(request), request.seed)?;
    let files = files_in(request.out.as_deref(), || drawn(&looked, &cover))?;
    let greens: Vec<SurveyedGreenRow> = looked
        .into_iter()
        .map(|l| SurveyedGreenRow {
            green: l.name.to_owned(),
            found: l.found,
            surface: l.surface,
        })
        .collect();
    let words = words_of_greens(&greens, &cover, &files);
    let result = Found::Greens(SurveyedGreens {
        greens,
        ranking: cover.ranking,
        directions: cover.directions,
        cover_plan: cover.strips,
        cover_curve: cover.curve,
    });
    Ok(Answer::new(result, words)
        .with_warnings(warnings)
        .with_files(files)
        .with_seed(request.seed))
}

/// One green by itself; `None`, with a warning, where nothing was counted on it.
fn look<'a>(
    trial: &Trial,
    green: &'a Green,
    name: &'a str,
    request: &Request,
    seed: u64,
    warnings: &mut Vec<Warning>,
) -> Result<Option<Looked<'a>>, Refusal> {
    let own = trial.layout.on_green(name);
    let mut data = trial.data.clone();
    data.plots
        .retain(|p| own.plots.iter().any(|q| q.plot == p.plot));
    if data.plots.is_empty() {
        let text = "No plot on this green was counted: it is left out of the plan.";
        warnings.push(Warning::at("green-not-counted", text, name));
        return Ok(None);
    }
    let survey = survey_from_trial(&data)?;
    let nearest = nearest_four(survey.places.len());
    let found = hotspots(
        &survey,
        request.weights.unwrap_or(nearest),
        request.permutations as usize,
        seed,
    )?;
    let surface = surface(&survey)?;
    let refused = surface.as_ref().err();
    for caution in found.cautions.iter().chain(refused) {
        warnings.push(Warning::at(caution.code, caution.message.clone(), name));
    }
    Ok(Some(Looked {
        green,
        name,
        survey,
        surface: surface.ok(),
        found,
    }))
}

/// The pictures of every green, and one of all.
fn drawn(looked: &[Looked<'_>], cover: &CoverPlan) -> Result<Vec<PictureFile>, Error> {
    let mut all = Vec::new();
    for (at, l) in looked.iter().enumerate() {
        let own = cover.on_green(l.name);
        let outline = &l.green.outline;
        let surface = l.surface.as_ref();
        for picture in pictures_of_green(l.name, &l.found, surface, Some(&own), outline)? {
            all.push(PictureFile {
                // A green's name may hold what no file name can.
                name: format!("green-{}-{}", at + 1, picture.name),
                ..picture
            });
        }
    }
    all.push(share_picture(cover)?);
    Ok(all)
}
