//! Names of zones, each on free ground of its zone, and of holes.

use geo::{Contains, Coord, Distance, Euclidean, Line, LineString, Point};
use maud::{Markup, html};

use super::hole_names::hole_names;
use crate::area::{Outline, Zone};
use crate::drawing::label::{CAPITAL, LEADING, Label, lines};
use crate::drawing::lettering::{Weight, width, wrap};
use crate::drawing::plane::Plane;

/// Sizes of a name, millimetres, larger ones first.
const SIZES: [f64; 2] = [3.4, 2.6];
/// Most lines of a name.
const MOST_LINES: usize = 3;
/// Places looked at across the green, and as many up.
const NET: u32 = 48;
/// Corners of a ring at most: names need no more of a long walked edge.
const MOST_CORNERS: usize = 2000;

/// Air at each side of a name, as a share of its size.
const AIR: f64 = 0.35;

/// A name set out, and its sides with the air round it on the ground, metres.
struct Name {
    lines: Vec<String>,
    size: f64,
    sides: [f64; 2],
}

/// Names of the zones, set on the ground they name, over everything else and clear of `marks`: the
/// middle and reach, in metres, of whatever else is drawn. Names of holes stand on their middle.
pub(crate) fn zone_names(outline: &Outline, plane: &Plane, marks: &[[f64; 3]]) -> Markup {
    let outline = &outline.thinned(MOST_CORNERS);
    html! {
        @for zone in &outline.zones {
            @for label in name_of(zone, outline, plane, marks) { (label.drawn()) }
        }
        @for label in hole_names(outline, plane) { (label.drawn()) }
    }
}

fn name_of(zone: &Zone, outline: &Outline, plane: &Plane, marks: &[[f64; 3]]) -> Vec<Label> {
    let (low, high) = outline.bounds();
    let ends = [low, high].map(|corner| plane.paper(corner[0], corner[1])[0]);
    let ways = ways(&zone.name, ends[1] - ends[0], plane.scale);
    let found = ways.iter().find_map(|name| {
        let places = places(outline, zone).into_iter();
        let free = places.filter(|at| is_free(*at, name.sides, outline, zone, marks));
        roomiest(free, name, outline, zone, marks).map(|at| (name, at))
    });
    // Where no ground is free, the name stands where it is least in the way.
    let found = found.or_else(|| {
        let name = ways.last()?;
        let places = places(outline, zone).into_iter();
        roomiest(places, name, outline, zone, marks).map(|at| (name, at))
    });
    let Some((name, [x, y])) = found else {
        return Vec::new();
    };
    let [x, y] = plane.paper(x, y);
    let high = name.sides[1] * plane.scale - 2.0 * AIR * name.size;
    lines(
        &name.lines,
        [x, y - high / 2.0 + CAPITAL * name.size],
        name.size,
    )
    .into_iter()
    .map(|l| l.middle().slanted().haloed().kept_between(ends[0], ends[1]))
    .collect()
}

/// Ways to set a name no wider than `widest`, the best to read first: in one line, in more, smaller; cut where none of
/// them holds it all.
fn ways(name: &str, widest: f64, scale: f64) -> Vec<Name> {
    let mut ways = Vec::new();
    for size in SIZES {
        let whole = width(name, size, Weight::Regular);
        for most in 1..=MOST_LINES {
            // A little more than a share of the whole, since lines break between words.
            let share = if most == 1 {
                whole
            } else {
                1.25 * whole / most as f64
            };
            let lines = wrap(name, share.min(widest), size, Weight::Regular, most);
            let cut = lines.iter().any(|l| l.ends_with('…')) && !name.ends_with('…');
            if lines.len() == most && !cut {
                ways.push(Name::new(lines, size, scale));
            }
        }
    }
    if ways.is_empty() {
        let size = SIZES[SIZES.len() - 1];
        let lines = wrap(name, widest, size, Weight::Regular, MOST_LINES);
        ways.push(Name::new(lines, size, scale));
    }
    ways
}

impl Name {
    fn new(lines: Vec<String>, size: f64, scale: f64) -> Self {
        let widths = lines.iter().map(|l| width(l, size, Weight::Regular));
        let widest = widths.fold(0.0, f64::max);
        let high = size * (1.0 + LEADING * (lines.len() - 1) as f64);
        Self {
            lines,
            size,
            sides: [widest, high].map(|side| (side + 2.0 * AIR * size) / scale),
        }
    }
}

/// Places of a coarse net over the green that lie in the zone, metres.
fn places(outline: &Outline, zone: &Zone) -> Vec<[f64; 2]> {
    let (low, high) = outline.bounds();
    let at = |i: u32, axis: usize| {
        low[axis] + (high[axis] - low[axis]) * (f64::from(i) + 0.5) / f64::from(NET)
    };
    (0..NET)
        .flat_map(|i| (0..NET).map(move |j| [at(i, 0), at(j, 1)]))
        .filter(|&[x, y]| outline.contains(x, y) && zone.ground.contains(&Point::new(x, y)))
        .collect()
}

/// Whether a name about a place lies on its zone and on nothing that is drawn there.
fn is_free(
    [x, y]: [f64; 2],
    sides: [f64; 2],
    outline: &Outline,
    zone: &Zone,
    marks: &[[f64; 3]],
) -> bool {
    let half = sides.map(|side| side / 2.0);
    let clear = |&[mark_x, mark_y, reach]: &[f64; 3]| {
        (x - mark_x).abs() > reach + half[0] || (y - mark_y).abs() > reach + half[1]
    };
    let shares = [-1.0, 0.0, 1.0];
    let mut rim = shares
        .iter()
        .flat_map(|u| shares.map(|v| [x + u * half[0], y + v * half[1]]));
    marks.iter().all(clear)
        && rim.all(|[x, y]| outline.contains(x, y) && zone.ground.contains(&Point::new(x, y)))
}

/// The place with the most room, ground being squeezed sideways until the name is as wide as high.
fn roomiest(
    places: impl Iterator<Item = [f64; 2]>,
    name: &Name,
    outline: &Outline,
    zone: &Zone,
    marks: &[[f64; 3]],
) -> Option<[f64; 2]> {
    let flat = (name.sides[0] / name.sides[1]).max(1.0);
    let rings = outline.ground.interiors().iter();
    let edges: Vec<Line> = rings
        .chain([zone.ground.exterior(), outline.ground.exterior()])
        .flat_map(LineString::lines)
        .map(|l| {
            let squeezed = |c: Coord| Coord {
                x: c.x / flat,
                y: c.y,
            };
            Line::new(squeezed(l.start), squeezed(l.end))
        })
        .collect();
    let room = |[x, y]: [f64; 2]| {
        let from_edges = edges
            .iter()
            .map(|line| Euclidean.distance(&Point::new(x / flat, y), line));
        let from_marks = marks.iter().map(|&[mark_x, mark_y, reach]| {
            let [dx, dy] = [x - mark_x, y - mark_y].map(|d| (d.abs() - reach).max(0.0));
            (dx / flat).hypot(dy)
        });
        from_edges.chain(from_marks).fold(f64::INFINITY, f64::min)
    };
    places
        .map(|at| (room(at), at))
        .max_by(|a, b| a.0.total_cmp(&b.0))
        .map(|(_, at)| at)
}
