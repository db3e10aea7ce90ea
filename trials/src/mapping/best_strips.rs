//! A cover plan from what the survey says of the ground between its places.

use halfgreen_analysis::chance::Generator;

use super::cover_plan::{CoverPlan, Sheet, cover_plan};
use super::field::local_means;
use super::surface::Surface;
use super::survey::Survey;
use crate::Error;
use crate::area::Outline;

/// Ranks strips of sheet on a green by the larvae they are expected to reach: from the surface where there
/// is one, else from local means.
///
/// # Errors
/// As [`cover_plan`].
pub fn best_strips(
    survey: &Survey,
    outline: &Outline,
    sheet: &Sheet,
    surface: Option<&Surface>,
    seed: u64,
) -> Result<CoverPlan, Error> {
    let seed = Generator::new(seed, u64::MAX - 6).bits();
    let values = survey.values();
    cover_plan(outline, sheet, |points| match surface {
        Some(surface) => surface.field(points, seed),
        None => Ok(local_means(&survey.places, &values, points, seed)),
    })
}
