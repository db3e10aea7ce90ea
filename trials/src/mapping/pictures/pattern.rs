//! Single positions: where they lie.

use maud::html;

use super::PictureFile;
use super::ground::{Ground, SAMPLE, Told};
use crate::area::Outline;
use crate::drawing::key::Entry;
use crate::drawing::mark::Mark;
use crate::drawing::palette::BLUE;
use crate::drawing::{Cell, FigureData};
use crate::mapping::positions::Pattern;

/// Radius of a position's disc, millimetres.
const DISC: f64 = 0.9;

/// Positions on the green.
pub(super) fn positions(found: &Pattern, outline: &Outline) -> PictureFile {
    let mut data = FigureData::new(&["x_m", "y_m"]);
    let all = found.positions.iter();
    data.rows = all
        .map(|p| [p.x_m, p.y_m].map(Cell::from).to_vec())
        .collect();
    let disc = Mark::disc(BLUE);
    let told = Told {
        name: "positions",
        title: "Positions found".to_owned(),
        description: found.meaning.join(" "),
        key: vec![Entry {
            sample: disc.drawn([SAMPLE[0] / 2.0, 0.0], DISC),
            letter: String::new(),
            name: format!("{} positions, one disc each", found.n),
        }],
        sample: SAMPLE,
        foot: Vec::new(),
        data,
    };
    Ground::new(Some(outline), &[], None).page(told, |plane, _| {
        html! {
            @for spot in &found.positions { (disc.drawn(plane.paper(spot.x_m, spot.y_m), DISC)) }
        }
    })
}
