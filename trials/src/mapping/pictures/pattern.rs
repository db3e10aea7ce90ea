//! Single positions: where they lie, and L against chance.

use maud::html;

use super::curve::{Axes, HEIGHT, LEFT};
use super::map::Ground;
use super::page::{MARGIN, mm, page};
use crate::area::Outline;
use crate::mapping::positions::Pattern;

/// Positions on the green.
pub(super) fn positions(found: &Pattern, outline: &Outline) -> String {
    let ground = Ground::new(Some(outline), &[]);
    let mark = |x: f64, y: f64| {
        html! {
            circle cx=(mm(x)) cy=(mm(y)) r="1.1" fill="#0072B2" fill-opacity="0.75" stroke="black"
                stroke-width="0.2" {}
        }
    };
    let inner = html! {
        @for spot in &found.positions {
            @let [x, y] = ground.paper(spot.x_m, spot.y_m);
            (mark(x, y))
        }
    };
    let key = html! {
        (mark(MARGIN + 1.5, ground.key() - 1.2))
        text x=(mm(MARGIN + 5.0)) y=(mm(ground.key())) font-size="3.8" { (found.n) " positions, one disc each" }
    };
    ground.page(
        "Positions found",
        &found.meaning.join(" "),
        Some(outline),
        &inner,
        &key,
    )
}

/// L less the radius, with the band in which chance keeps it at all radii together 95 times in 100.
pub(super) fn l_function(found: &Pattern) -> String {
    let less = |l: &[f64]| -> Vec<(f64, f64)> {
        found
            .radii
            .iter()
            .zip(l)
            .map(|(r, l)| (*r, l - r))
            .collect()
    };
    let (seen, low, high) = (less(&found.l), less(&found.low), less(&found.high));
    let all = || seen.iter().chain(&low).chain(&high).map(|p| p.1);
    let (least, most) = (all().fold(0.0, f64::min), all().fold(0.0, f64::max));
    let room = 0.05 * (most - least).max(1e-6);
    let axes = Axes {
        x: (0.0, found.radii.last().copied().unwrap_or(1.0)),
        y: (least - room, most + room),
        percent: false,
    };
    let mut band = high.clone();
    band.extend(low.iter().rev());
    let inner = html! {
        (axes.draw("radius, metres", "L less the radius, metres"))
        polygon points=(axes.line(band)) fill="#ccc" {}
        polyline points=(axes.line([(0.0, 0.0), (axes.x.1, 0.0)])) fill="none" stroke="#222" stroke-width="0.3"
            stroke-dasharray="2 1.5" {}
        polyline points=(axes.line(seen)) fill="none" stroke="#0072B2" stroke-width="0.8" {}
        text x=(mm(LEFT)) y=(mm(HEIGHT - 2.0)) font-size="3.6" {
            "Full line: the positions; above the broken line they lie closer together than at random."
        }
        text x=(mm(LEFT)) y=(mm(HEIGHT + 3.0)) font-size="3.6" {
            "Grey: where chance keeps the whole line 95 times in 100."
        }
    };
    page(
        "How close do positions lie together?",
        &found.meaning.join(" "),
        HEIGHT + 6.0,
        &inner,
    )
}
