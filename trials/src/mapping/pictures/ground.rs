//! The green on its page: edge, holes, scale and key round whatever is drawn on it.

use maud::{Markup, html};

use super::PictureFile;
use crate::area::Outline;
use crate::drawing::FigureData;
use crate::drawing::heading::{Heading, Sizes};
use crate::drawing::key::{Entry, Key};
use crate::drawing::label::{LEADING, lines};
use crate::drawing::lettering::{Weight, wrap};
use crate::drawing::palette::{GREY, INK, SITE};
use crate::drawing::paper::{FIGURE_MM, Paper, Words, mm};
use crate::drawing::plane::Plane;
use crate::fieldwork::map::zone_names;
use crate::mapping::findings::Local;

/// Empty margin, millimetres.
const MARGIN: f64 = 4.0;
/// Size of lettering, millimetres.
pub(super) const LETTERING: f64 = 3.7;
/// Greatest height of the ground on the page, millimetres.
const TALLEST: f64 = 130.0;
/// Room at each side of the ground for what is drawn at its edge, millimetres.
const SIDE: f64 = 4.0;
/// Sides of a sample in the key, millimetres.
pub(super) const SAMPLE: [f64; 2] = [7.0, 4.4];

/// What a map says of itself: names, key, sentences below, the numbers drawn.
pub(super) struct Told {
    /// Name of the file, without its ending.
    pub(super) name: &'static str,
    pub(super) title: String,
    pub(super) description: String,
    pub(super) key: Vec<Entry>,
    /// Sides of the key's samples, millimetres.
    pub(super) sample: [f64; 2],
    pub(super) foot: Vec<String>,
    pub(super) data: FigureData,
}

/// A green and where it lies on the page.
pub(super) struct Ground<'o> {
    pub(super) outline: Option<&'o Outline>,
    /// Name of the green, where there are several.
    pub(super) green: Option<&'o str>,
    /// South-west and north-east corners, metres.
    pub(super) corners: [[f64; 2]; 2],
    scale: f64,
    /// Where discs stand, east and north, and their reach, metres.
    marks: Vec<[f64; 3]>,
}

impl<'o> Ground<'o> {
    pub(super) fn new(
        outline: Option<&'o Outline>,
        places: &[Local],
        green: Option<&'o str>,
    ) -> Self {
        let (mut low, mut high) = outline.map_or(
            ([f64::INFINITY; 2], [f64::NEG_INFINITY; 2]),
            Outline::bounds,
        );
        for p in places {
            for (axis, at) in [p.x_m, p.y_m].into_iter().enumerate() {
                // A disc needs room beyond its centre.
                low[axis] = low[axis].min(at - 0.5);
                high[axis] = high[axis].max(at + 0.5);
            }
        }
        let span = [high[0] - low[0], high[1] - low[1]];
        let room = FIGURE_MM - 2.0 * (MARGIN + SIDE);
        Self {
            outline,
            green,
            corners: [low, high],
            scale: (room / span[0]).min(TALLEST / span[1]),
            marks: places.iter().map(|p| [p.x_m, p.y_m, 0.5]).collect(),
        }
    }

    /// Millimetres on paper for a metre of ground.
    pub(super) fn scale(&self) -> f64 {
        self.scale
    }

    /// The page: heading, what is drawn on the ground, its edge, scale, key and sentences.
    pub(super) fn page(
        &self,
        told: Told,
        drawn: impl FnOnce(&Plane, &str) -> Markup,
    ) -> PictureFile {
        let title = titled(self.green, &told.title);
        let words = Words::new(told.name, &title, &told.description, &[]);
        let room = FIGURE_MM - 2.0 * MARGIN;
        let heading = heading(&title);
        let [low, high] = self.corners;
        let foot = heading.bottom() + 2.0 * SIDE + (high[1] - low[1]) * self.scale;
        let plane = Plane {
            scale: self.scale,
            origin: low,
            corner: [
                (FIGURE_MM - (high[0] - low[0]) * self.scale) / 2.0,
                foot - SIDE,
            ],
        };
        let clip = format!("{}-ground", words.id);
        let edge = self.outline.map(|o| plane.ring(o.ground.exterior()));
        let more = if self.outline.is_some() {
            "; north is up"
        } else {
            "; north is up; the edge of the green was not given"
        };
        let key = Key::new(told.key, room, LETTERING, told.sample);
        let key_top = foot + 9.0;
        let below = key_top + key.height();
        let sentences: Vec<String> = told
            .foot
            .iter()
            .flat_map(|s| wrap(s, room, LETTERING, Weight::Regular, 3))
            .collect();
        let height = below + LEADING * LETTERING * sentences.len() as f64 + 2.0;
        let page = html! {
            (heading.drawn())
            @if let Some(edge) = &edge {
                clipPath id=(clip) { path d=(edge) {} }
                path d=(edge) fill=(SITE) {}
            }
            (drawn(&plane, &clip))
            @if let (Some(outline), Some(edge)) = (self.outline, &edge) {
                path d=(edge) fill="none" stroke=(INK) stroke-width="0.5" { title { "Edge of the green" } }
                g clip-path={ "url(#" (clip) ")" } {
                    @for zone in &outline.zones {
                        path d=(plane.ring(zone.ground.exterior())) fill="none" stroke=(INK) stroke-width="0.3"
                            stroke-dasharray="2 1" { title { "Zone " (zone.name) } }
                    }
                }
                (zone_names(outline, &plane, &self.marks))
                @for hole in outline.ground.interiors() {
                    path d=(plane.ring(hole)) fill=(GREY) fill-opacity="0.5" stroke=(INK) stroke-width="0.4" {}
                }
            }
            (plane.bar([MARGIN, foot + 1.0], 40.0, LETTERING, more))
            (key.drawn([MARGIN, key_top]))
            @for line in lines(&sentences, [MARGIN, below + LETTERING], LETTERING) { (line.drawn()) }
        };
        let paper = Paper::Figure([FIGURE_MM, height]);
        PictureFile {
            name: format!("{}.svg", told.name),
            svg: paper.document(&words, &page),
            data: told.data,
        }
    }
}

/// A title with the name of its green before it, where there are several.
pub(super) fn titled(green: Option<&str>, title: &str) -> String {
    green.map_or(title.to_owned(), |green| format!("{green}: {title}"))
}

fn heading(title: &str) -> Heading {
    let sizes = Sizes {
        title: 4.6,
        least: 3.7,
        line: LETTERING,
    };
    Heading::new(title, "", [MARGIN, 2.0], FIGURE_MM - 2.0 * MARGIN, sizes)
}

/// The cross at a place where none was found.
pub(super) fn cross([x, y]: [f64; 2]) -> Markup {
    html! {
        path d={ "M" (mm(x - 1.0)) " " (mm(y)) "h2M" (mm(x)) " " (mm(y - 1.0)) "v2" } stroke=(INK)
            stroke-width="0.3" { title { "none" } }
    }
}
