//! The A4 page: the largest round scale at which a green fits, and what stands round the map.

use maud::{Markup, html};

use crate::Error;
use crate::area::Outline;
use crate::drawing::heading::{Heading, Sizes};
use crate::drawing::key::Key;
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

/// A page, and where the green lies on it.
pub(super) struct Sheet {
    /// The scale, as 1 : n.
    pub(super) n: f64,
    pub(super) plane: Plane,
    size: [f64; 2],
    /// Key below the map, if there is one.
    key: Option<Key>,
}

/// Width of what stands between the margins of a page.
fn between_margins(size: [f64; 2]) -> f64 {
    size[0] - 2.0 * MARGIN
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
        let span = [high[0] - low[0], high[1] - low[1]];
        // At one scale, a wide green lies better on a lying page.
        let mut pages = [A4, [A4[1], A4[0]]];
        if span[0] > span[1] {
            pages.reverse();
        }
        let pages = pages.map(|size| {
            let key = key_for(between_margins(size));
            let foot = BAR + key.as_ref().map_or(0.0, Key::height);
            let room = [between_margins(size), size[1] - 2.0 * MARGIN - HEAD - foot];
            (size, key, room)
        });
        let fits =
            |room: [f64; 2], n: f64| (0..2).all(|axis| span[axis] * 1000.0 / n <= room[axis]);
        let found = SCALES.iter().find_map(|&n| {
            let page = pages.iter().find(|(_, _, room)| fits(*room, n));
            page.map(|page| (n, page.clone()))
        });
        let Some((n, (size, key, room))) = found else {
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
                MARGIN + (room[0] - span[0] * scale) / 2.0,
                MARGIN + HEAD + f64::midpoint(room[1], span[1] * scale),
            ],
        };
        Ok(Self {
            n,
            plane,
            size,
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
        let room = between_margins(self.size);
        let heading = Heading::new(&words.title, line, [MARGIN, MARGIN], room - ARROW, SIZES);
        let arrow = north([self.size[0] - MARGIN - 6.0, MARGIN]);
        let foot = BAR + self.key.as_ref().map_or(0.0, Key::height);
        let top = self.size[1] - MARGIN - foot;
        let drawn = html! {
            (map)
            (heading.drawn())
            (arrow)
            (scale_bar([MARGIN, top + 8.0], self.plane.scale, "This bar is 50 mm long on a page printed at full size."))
            @if let Some(key) = &self.key { (key.drawn([MARGIN, top + BAR])) }
        };
        Paper::Sheet(self.size).document(words, &drawn)
    }
}
