//! The green under the plots: edge, holes, zones and their names.

use geo::{Contains, Coord, Distance, Euclidean, Line, LineString, Point, Polygon};
use maud::{Markup, html};

use super::sketch::{Sketch, mm};
use crate::area::Outline;

/// The green with its zones and holes; `page` keeps names apart where several maps share a page.
pub(super) fn ground(outline: &Outline, sketch: &Sketch, page: &str) -> Markup {
    // Zones stay apart in grey print by tint and edge; each carries its name.
    const TINTS: [&str; 4] = ["#d9ead3", "#fff2cc", "#d0e3f2", "#eadcea"];
    let edge = sketch.ring(outline.ground.exterior());
    html! {
        clipPath id={ (page) "-green" } { path d=(edge) {} }
        path d=(edge) fill="#eef5ea" {}
        g clip-path={ "url(#" (page) "-green)" } {
            @for (i, zone) in outline.zones.iter().enumerate() {
                path d=(sketch.ring(zone.ground.exterior())) fill=(TINTS[i % TINTS.len()])
                    stroke="#555" stroke-width="0.3" stroke-dasharray="2 1" {
                    title { "Zone " (zone.name) }
                }
            }
        }
        path d=(edge) fill="none" stroke="#222" stroke-width="0.6" stroke-linejoin="round" {
            title { "Edge of the green" }
        }
        @for hole in outline.ground.interiors() {
            path d=(sketch.ring(hole)) fill="#bbb" stroke="#222" stroke-width="0.4" {
                title { "No plot may lie here" }
            }
        }
    }
}

/// Names of the zones, set on the ground they name, over everything else and clear of `marks`: the
/// middle and reach, in metres, of whatever else is drawn.
pub(super) fn zone_names(outline: &Outline, sketch: &Sketch, marks: &[[f64; 3]]) -> Markup {
    html! {
        @for zone in &outline.zones {
            @if let Some([x, y]) = name_place(outline, &zone.ground, sketch, marks) {
                text x=(mm(x)) y=(mm(y)) font-size="3.4" font-style="italic" text-anchor="middle"
                    fill="#222" stroke="white" stroke-width="0.8" paint-order="stroke" { (zone.name) }
            }
        }
    }
}

/// A place for a zone's name on free ground of the zone: the roomiest that a coarse net finds, room
/// being counted in names' widths sideways.
fn name_place(
    outline: &Outline,
    zone: &Polygon<f64>,
    sketch: &Sketch,
    marks: &[[f64; 3]],
) -> Option<[f64; 2]> {
    const NET: u32 = 48;
    let (low, high) = outline.bounds();
    let at = |i: u32, axis: usize| {
        low[axis] + (high[axis] - low[axis]) * (f64::from(i) + 0.5) / f64::from(NET)
    };
    let room = |x: f64, y: f64| {
        // A name is about four times as wide as high: ground squeezed sideways makes it square.
        let squeezed = |dx: f64, dy: f64| (dx / 3.0).hypot(dy);
        let corners = zone
            .exterior()
            .lines()
            .chain(outline.ground.exterior().lines())
            .chain(
                outline
                    .ground
                    .interiors()
                    .iter()
                    .flat_map(LineString::lines),
            );
        let edges = corners.map(|l| {
            let line = Line::new(
                Coord {
                    x: l.start.x / 3.0,
                    y: l.start.y,
                },
                Coord {
                    x: l.end.x / 3.0,
                    y: l.end.y,
                },
            );
            Euclidean.distance(&Point::new(x / 3.0, y), &line)
        });
        let drawn = marks.iter().map(|&[mark_x, mark_y, reach]| {
            squeezed(
                ((x - mark_x).abs() - reach).max(0.0),
                ((y - mark_y).abs() - reach).max(0.0),
            )
        });
        drawn.chain(edges).fold(f64::INFINITY, f64::min)
    };
    let free = (0..NET)
        .flat_map(|i| (0..NET).map(move |j| (at(i, 0), at(j, 1))))
        .filter(|&(x, y)| outline.contains(x, y) && zone.contains(&Point::new(x, y)))
        .map(|(x, y)| (room(x, y), x, y))
        .max_by(|a, b| a.0.total_cmp(&b.0));
    free.map(|(_, x, y)| sketch.paper(x, y))
}
