//! Maps and curves of what a survey shows, as SVG.
//!
//! Every map draws the edge of the green where it is known. Shades grow darker with larvae, so that they
//! read in grey; hot and cold carry different marks beside different colours (Okabe & Ito 2008, *Color
//! Universal Design*). Every picture has a title and a description in words.

mod curve;
mod ground;
mod map;
mod pattern;
mod raster;
mod strips;

use super::cover_plan::CoverPlan;
use super::findings::Hotspots;
use super::positions::Pattern;
use super::surface::Surface;
use crate::Error;
use crate::area::Outline;
use crate::drawing::FigureData;
use ground::Ground;

/// A picture, the name of its file and the numbers behind it.
#[derive(Debug, Clone, PartialEq)]
pub struct PictureFile {
    /// Name of the file.
    pub name: String,
    /// The SVG document.
    pub svg: String,
    /// What it shows, as numbers.
    pub data: FigureData,
}

/// All pictures that the findings allow.
///
/// # Errors
/// A fault of the drawing library.
pub fn pictures(
    found: &Hotspots,
    surface: Option<&Surface>,
    cover: Option<&CoverPlan>,
    outline: Option<&Outline>,
) -> Result<Vec<PictureFile>, Error> {
    let ground = Ground::new(outline, &found.local, None);
    drawn(found, surface, cover, &ground)
}

/// The same for one green of several, whose name stands before every title.
///
/// # Errors
/// A fault of the drawing library.
pub fn pictures_of_green(
    green: &str,
    found: &Hotspots,
    surface: Option<&Surface>,
    cover: Option<&CoverPlan>,
    outline: &Outline,
) -> Result<Vec<PictureFile>, Error> {
    let ground = Ground::new(Some(outline), &found.local, Some(green));
    drawn(found, surface, cover, &ground)
}

fn drawn(
    found: &Hotspots,
    surface: Option<&Surface>,
    cover: Option<&CoverPlan>,
    ground: &Ground<'_>,
) -> Result<Vec<PictureFile>, Error> {
    let mut all = vec![map::bubbles(found, ground), map::spots(found, ground)];
    if !found.correlogram.is_empty() {
        all.push(curve::correlogram(found, ground.green)?);
    }
    if let Some(surface) = surface {
        // A trial knows its cores; a table knows places that were sampled alike.
        let per = if found.residuals.is_some() {
            "per core"
        } else {
            "per place"
        };
        all.extend(raster::surface(surface, ground, per));
        all.extend(raster::uncertainty(surface, ground));
    }
    if let Some(cover) = cover.filter(|_| ground.outline.is_some()) {
        all.extend(strips::strips(cover, ground));
        if !cover.curve.is_empty() {
            all.push(share_picture(cover)?);
        }
    }
    Ok(all)
}

/// Share of larvae reached by a cover plan, on one green or several.
///
/// # Errors
/// A fault of the drawing library.
pub fn share_picture(cover: &CoverPlan) -> Result<PictureFile, Error> {
    curve::share(cover)
}

/// Pictures of single positions.
///
/// # Errors
/// A fault of the drawing library.
pub fn pattern_pictures(found: &Pattern, outline: &Outline) -> Result<Vec<PictureFile>, Error> {
    Ok(vec![
        pattern::positions(found, outline),
        curve::l_function(found)?,
    ])
}
