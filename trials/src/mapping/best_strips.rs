//! A cover plan from what the survey says of the ground between its places.

use halfgreen_analysis::random::Generator;

use super::cover_plan::{CoverPlan, Sheet, SurveyedGreen, cover_plan};
use super::field::local_means;
use super::lanes::lattice;
use super::surface::Surface;
use super::survey::Survey;
use crate::Error;
use crate::area::Outline;

/// A green with what was counted on it.
#[derive(Debug, Clone, Copy)]
pub struct CountedGreen<'a> {
    /// Its name, where there are several.
    pub name: Option<&'a str>,
    /// Its outline.
    pub outline: &'a Outline,
    /// Counts on it.
    pub survey: &'a Survey,
    /// The surface, where the survey can bear one.
    pub surface: Option<&'a Surface>,
}

/// Ranks strips of sheet on one or several greens by the larvae they are expected to reach: from the
/// surface where there is one, else from local means.
///
/// # Errors
/// A sheet without width, wider lap than roll, or a green that no strip touches.
pub fn best_strips(
    greens: &[CountedGreen<'_>],
    sheet: &Sheet,
    seed: u64,
) -> Result<CoverPlan, Error> {
    let known = greens
        .iter()
        .enumerate()
        .map(|(at, green)| {
            // Each green draws its alternatives from a stream of its own.
            let seed = Generator::new(seed, u64::MAX - 6 - 64 * at as u64).bits();
            let points = lattice(green.outline);
            let field = match green.surface {
                Some(surface) => surface.field(&points, seed)?,
                None => local_means(&green.survey.places, &green.survey.values(), &points, seed),
            };
            Ok(SurveyedGreen {
                name: green.name,
                outline: green.outline,
                points,
                field,
            })
        })
        .collect::<Result<Vec<_>, Error>>()?;
    cover_plan(&known, sheet)
}
