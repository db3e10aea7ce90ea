//! Sample points and the walk past them.

use maud::{Markup, html};

use crate::drawing::label::{Anchor, Bounds, Label, freest};
use crate::drawing::palette::{GREY, INK, VERMILION};
use crate::drawing::paper::mm;
use crate::drawing::plane::Plane;
use crate::scouting::grid::Grid;

/// Where points stand, for what must keep clear of them: place and reach, metres.
pub(super) fn reaches_of(grid: &Grid) -> Vec<[f64; 3]> {
    grid.points.iter().map(|p| [p.x_m, p.y_m, 0.0]).collect()
}

/// The walk as a thin line, and each point with its number, which keeps off other numbers and points.
pub(super) fn route(grid: &Grid, plane: &Plane) -> Markup {
    let places: Vec<[f64; 2]> = grid
        .points
        .iter()
        .map(|p| plane.paper(p.x_m, p.y_m))
        .collect();
    let line: Vec<String> = places
        .iter()
        .map(|[x, y]| format!("{},{}", mm(*x), mm(*y)))
        .collect();
    // Numbers shrink with the spacing on paper so that neighbours stay apart.
    let size = (grid.spacing_m * plane.scale * 0.32).clamp(1.2, 4.5);
    html! {
        polyline points=(line.join(" ")) fill="none" stroke=(GREY) stroke-width="0.25" {}
        @for [x, y] in &places {
            circle cx=(mm(*x)) cy=(mm(*y)) r=(mm(size * 0.28)) fill=(VERMILION) stroke=(INK)
                stroke-width="0.15" {}
        }
        @for number in numbers(grid, &places, size) { (number.drawn()) }
    }
}

fn numbers(grid: &Grid, places: &[[f64; 2]], size: f64) -> Vec<Label> {
    // Numbers may stand beyond the edge of the green: the page has a margin.
    let frame = Bounds {
        left: f64::NEG_INFINITY,
        top: f64::NEG_INFINITY,
        right: f64::INFINITY,
        bottom: f64::INFINITY,
    };
    let mut taken: Vec<Bounds> = Vec::new();
    let mut labels = Vec::new();
    for (point, &[x, y]) in grid.points.iter().zip(places) {
        let (near, up, down) = (0.4 * size, 0.25 * size, 0.97 * size);
        let corners = [
            ([x + near, y - up], Anchor::Start),
            ([x - near, y - up], Anchor::End),
            ([x + near, y + down], Anchor::Start),
            ([x - near, y + down], Anchor::End),
        ];
        let label = |(at, anchor)| {
            let label = Label::new(point.id.to_string(), at, size);
            label.anchored(anchor).bold().haloed()
        };
        let place = freest(corners.map(label).into(), &frame, &taken, places);
        taken.extend(place.iter().map(Label::bounds));
        labels.extend(place);
    }
    labels
}
