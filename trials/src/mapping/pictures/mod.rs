//! Maps and curves of what a survey shows, as SVG.
//!
//! Every map draws the edge of the green where it is known. Shades grow darker with larvae, so that they
//! read in grey; hot and cold carry different marks beside different colours (Okabe & Ito 2008, *Color
//! Universal Design*). Every picture has a title and a description in words.

mod curve;
mod map;
mod page;
mod pattern;
mod strips;

pub(super) use page::round_down;

use super::cover_plan::CoverPlan;
use super::findings::Hotspots;
use super::positions::Pattern;
use super::surface::Surface;
use crate::area::Outline;

/// A picture and the name of its file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PictureFile {
    /// Name of the file.
    pub name: String,
    /// The SVG document.
    pub svg: String,
}

impl PictureFile {
    fn new(name: &str, svg: String) -> Self {
        Self {
            name: name.to_owned(),
            svg,
        }
    }

    /// The same picture with the name of its green before the title.
    #[must_use]
    pub fn of_green(self, green: &str) -> Self {
        Self {
            svg: page::named(&self.svg, green),
            ..self
        }
    }
}

/// All pictures that the findings allow.
#[must_use]
pub fn pictures(
    found: &Hotspots,
    surface: Option<&Surface>,
    cover: Option<&CoverPlan>,
    outline: Option<&Outline>,
) -> Vec<PictureFile> {
    let mut all = vec![
        PictureFile::new("counts.svg", map::bubbles(found, outline)),
        PictureFile::new("hot-spots.svg", map::spots(found, outline)),
    ];
    let mut add = |name, svg| all.push(PictureFile::new(name, svg));
    if !found.correlogram.is_empty() {
        add("correlogram.svg", curve::correlogram(found));
    }
    if let (Some(surface), Some(outline)) = (surface, outline) {
        // A trial knows its cores; a table knows places that were sampled alike.
        let per = if found.residuals.is_some() {
            "per core"
        } else {
            "per place"
        };
        add("surface.svg", map::surface(surface, outline, per));
        add(
            "surface-uncertainty.svg",
            map::uncertainty(surface, outline),
        );
    }
    if let (Some(cover), Some(outline)) = (cover, outline) {
        add("cover-plan.svg", strips::strips(cover, outline));
        if !cover.curve.is_empty() {
            all.push(share_picture(cover));
        }
    }
    all
}

/// Share of larvae reached by a cover plan, on one green or several.
#[must_use]
pub fn share_picture(cover: &CoverPlan) -> PictureFile {
    PictureFile::new("share-reached.svg", curve::share(cover))
}

/// Pictures of single positions.
#[must_use]
pub fn pattern_pictures(found: &Pattern, outline: &Outline) -> Vec<PictureFile> {
    vec![
        PictureFile::new("positions.svg", pattern::positions(found, outline)),
        PictureFile::new("l-function.svg", pattern::l_function(found)),
    ]
}
