//! The A4 page: the largest round scale at which a green fits, and what stands round the map.

use maud::{Markup, html};

use crate::Error;
use crate::area::Outline;
use crate::drawing::heading::{Heading, Sizes};
use crate::drawing::key::Key;
use crate::drawing::label::lines;
use crate::drawing::lettering::{Weight, wrap};
use crate::drawing::paper::{Paper, Words};
use crate::drawing::plane::{Plane, north, scale_bar};

/// Round scales, as 1 : n.
const SCALES: [f64; 13] = [
    20.0, 25.0, 50.0, 75.0, 100.0, 125.0, 150.0, 200.0, 250.0, 500.0, 1000.0, 2500.0, 5000.0,
];
/// A4 upright, millimetres.
const A4: [f64; 2] = [210.0, 297.0];
/// Empty margin of the page, millimetres.
const MARGIN: f64 = 12.0;
/// Height of the heading, millimetres.
const HEAD: f64 = 20.0;
/// Height of the scale bar with the air round it, millimetres.
const BAR: f64 = 14.0;
/// Room for the arrow at the right of the heading, millimetres.
const ARROW: f64 = 16.0;
/// Height of the arrow with the air below it, millimetres.
const ARROW_HEIGHT: f64 = 19.0;

/// The A4 page of a map by itself, upright and lying.
pub(super) const PAGES: [Frame; 2] = [Frame::page(A4), Frame::page([A4[1], A4[0]])];

/// A page or a piece of one, and what of it is kept free of the map.
#[derive(Debug, Clone, Copy)]
pub(super) struct Frame {
    size: [f64; 2],
    /// Empty margin on all sides.
    margin: f64,
    /// Height of what stands above the map.
    head: f64,
}

impl Frame {
    const fn page(size: [f64; 2]) -> Self {
        Self {
            size,
            margin: MARGIN,
            head: HEAD,
        }
    }

    /// A piece of a page that has a heading of its own; the arrow stands above the map.
    pub(super) const fn inset(size: [f64; 2]) -> Self {
        Self {
            size,
            margin: 0.5,
            head: ARROW_HEIGHT,
        }
    }

    /// Width of what stands between the margins.
    fn between_margins(self) -> f64 {
        self.size[0] - 2.0 * self.margin
    }
}

/// A page, and where the green lies on it.
pub(super) struct Sheet {
    /// The scale, as 1 : n.
    pub(super) n: f64,
    pub(super) plane: Plane,
    frame: Frame,
    /// Key below the map, if there is one.
    key: Option<Key>,
}

impl Sheet {
    /// The page for a green above the key that `key_for` makes for a width.
    ///
    /// # Errors
    /// A green too wide for a sheet at 1 : 5000.
    pub(super) fn for_green(
        outline: &Outline,
        key_for: impl Fn(f64) -> Option<Key>,
    ) -> Result<Self, Error> {
        let (low, high) = outline.bounds();
        // At one scale, a wide green lies better on a lying page.
        let mut pages = PAGES;
        if high[0] - low[0] > high[1] - low[1] {
            pages.reverse();
        }
        Self::for_ground([low, high], &pages, key_for)
    }

    /// The first of `frames` in which the ground between two corners fits at the largest scale.
    ///
    /// # Errors
    /// Ground too wide for any of them at 1 : 5000.
    pub(super) fn for_ground(
        [low, high]: [[f64; 2]; 2],
        frames: &[Frame],
        key_for: impl Fn(f64) -> Option<Key>,
    ) -> Result<Self, Error> {
        let span = [high[0] - low[0], high[1] - low[1]];
        let pages = frames.iter().map(|frame| {
            let wide = frame.between_margins();
            let key = key_for(wide);
            let foot = BAR + key.as_ref().map_or(0.0, Key::height);
            let room = [wide, frame.size[1] - 2.0 * frame.margin - frame.head - foot];
            (*frame, key, room)
        });
        let pages: Vec<_> = pages.collect();
        let fits =
            |room: [f64; 2], n: f64| (0..2).all(|axis| span[axis] * 1000.0 / n <= room[axis]);
        let found = SCALES.iter().find_map(|&n| {
            let page = pages.iter().find(|(_, _, room)| fits(*room, n));
            page.map(|page| (n, page.clone()))
        });
        let Some((n, (frame, key, room))) = found else {
            return Err(Error::new(
                "map",
                format!(
                    "a green of {:.0} m by {:.0} m is too large for a page",
                    span[0], span[1]
                ),
                "Check the outline's unit.",
            ));
        };
        let scale = 1000.0 / n;
        let plane = Plane {
            scale,
            origin: low,
            corner: [
                frame.margin + (room[0] - span[0] * scale) / 2.0,
                frame.margin + frame.head + f64::midpoint(room[1], span[1] * scale),
            ],
        };
        Ok(Self {
            n,
            plane,
            frame,
            key,
        })
    }

    /// The complete document: heading with a line below, north, the map, scale bar and key.
    pub(super) fn document(&self, words: &Words, line: &str, map: &Markup) -> String {
        const SIZES: Sizes = Sizes {
            title: 6.5,
            least: 4.5,
            line: 4.0,
        };
        let room = self.frame.between_margins();
        let heading = Heading::new(&words.title, line, [MARGIN, MARGIN], room - ARROW, SIZES);
        let drawn = html! {
            (map)
            (heading.drawn())
            (self.north_and_foot())
        };
        Paper::Sheet(self.frame.size).document(words, &drawn)
    }

    /// A piece of a page: north, the map, scale bar and key, a line above.
    pub(super) fn inset(&self, words: &Words, line: &str, map: &Markup) -> String {
        const SIZE: f64 = 3.6;
        let room = self.frame.between_margins() - ARROW;
        let texts = wrap(line, room, SIZE, Weight::Regular, 2);
        let above = lines(&texts, [self.frame.margin, self.frame.margin + SIZE], SIZE);
        let drawn = html! {
            (map)
            @for label in &above { (label.drawn()) }
            (self.north_and_foot())
        };
        Paper::Inset(self.frame.size).document(words, &drawn)
    }

    /// A place at the right of the scale bar, in the middle of its height.
    pub(super) fn below_right(&self) -> [f64; 2] {
        let Frame { size, margin, .. } = self.frame;
        [size[0] - margin - 8.0, self.foot() + BAR / 2.0]
    }

    /// Where the foot begins.
    fn foot(&self) -> f64 {
        let Frame { size, margin, .. } = self.frame;
        size[1] - margin - BAR - self.key.as_ref().map_or(0.0, Key::height)
    }

    fn north_and_foot(&self) -> Markup {
        let Frame { size, margin, .. } = self.frame;
        let top = self.foot();
        html! {
            (north([size[0] - margin - 6.0, margin]))
            (scale_bar([margin, top + 8.0], self.plane.scale, "This bar is 50 mm long on a page printed at full size."))
            @if let Some(key) = &self.key { (key.drawn([margin, top + BAR])) }
        }
    }
}
