//! Names of holes, each on the middle of its hole.

use crate::area::{Hole, Outline};
use crate::drawing::label::{CAPITAL, LEADING, Label, lines};
use crate::drawing::lettering::{Weight, wrap};
use crate::drawing::plane::Plane;

/// Size of a name, millimetres.
const SIZE: f64 = 2.6;
/// Width that a name may take over a narrower hole, millimetres.
const LEAST_ROOM: f64 = 18.0;
/// Most lines of a name.
const MOST_LINES: usize = 3;

/// The names of the holes that have one, kept within the green's own width.
pub(super) fn hole_names(outline: &Outline, plane: &Plane) -> Vec<Label> {
    let (low, high) = outline.bounds();
    let ends = [low, high].map(|corner| plane.paper(corner[0], corner[1])[0]);
    let named = outline.holes.iter().filter(|hole| !hole.name.is_empty());
    named.flat_map(|hole| name_of(hole, plane, ends)).collect()
}

fn name_of(hole: &Hole, plane: &Plane, [left, right]: [f64; 2]) -> Vec<Label> {
    let (mut low, mut high) = ([f64::INFINITY; 2], [f64::NEG_INFINITY; 2]);
    for c in hole.ground.exterior().coords() {
        for (axis, at) in plane.paper(c.x, c.y).into_iter().enumerate() {
            low[axis] = low[axis].min(at);
            high[axis] = high[axis].max(at);
        }
    }
    let room = (high[0] - low[0]).max(LEAST_ROOM).min(right - left);
    let texts = wrap(&hole.name, room, SIZE, Weight::Regular, MOST_LINES);
    let [x, y] = [0, 1].map(|axis| f64::midpoint(low[axis], high[axis]));
    let up = SIZE * (LEADING * (texts.len().saturating_sub(1)) as f64 - CAPITAL) / 2.0;
    let set = lines(&texts, [x, y - up], SIZE).into_iter();
    set.map(|l| l.middle().slanted().haloed().kept_between(left, right))
        .collect()
}
