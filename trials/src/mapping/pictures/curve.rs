//! Curves: likeness against distance, and share reached against area covered.

use maud::{Markup, html};

use super::page::{HEAD, MARGIN, WIDTH, mm, page, round_down};
use crate::mapping::cover_plan::CoverPlan;
use crate::mapping::findings::Hotspots;

/// Axes with their limits.
pub(super) struct Axes {
    pub(super) x: (f64, f64),
    pub(super) y: (f64, f64),
    pub(super) percent: bool,
}

/// Left end of the axes, millimetres.
pub(super) const LEFT: f64 = MARGIN + 14.0;
const RIGHT: f64 = WIDTH - MARGIN;
const TOP: f64 = HEAD + 6.0;
const BOTTOM: f64 = 105.0;
/// Height of the page, millimetres.
pub(super) const HEIGHT: f64 = 126.0;

impl Axes {
    fn at(&self, (x, y): (f64, f64)) -> [f64; 2] {
        let share = |v: f64, (low, high): (f64, f64)| (v - low) / (high - low);
        [
            LEFT + share(x, self.x) * (RIGHT - LEFT),
            BOTTOM - share(y, self.y) * (BOTTOM - TOP),
        ]
    }

    pub(super) fn line(&self, points: impl IntoIterator<Item = (f64, f64)>) -> String {
        let places: Vec<String> = points
            .into_iter()
            .map(|p| {
                let [x, y] = self.at(p);
                format!("{},{}", mm(x), mm(y))
            })
            .collect();
        places.join(" ")
    }

    pub(super) fn draw(&self, across: &str, up: &str) -> Markup {
        let label = |v: f64| {
            if self.percent {
                format!("{:.0} %", 100.0 * v)
            } else {
                mm(v)
            }
        };
        html! {
            @for y in ticks(self.y) {
                @let [_, py] = self.at((self.x.0, y));
                path d={ "M" (mm(LEFT)) " " (mm(py)) "H" (mm(RIGHT)) } stroke="#ddd" stroke-width="0.2" {}
                text x=(mm(LEFT - 1.5)) y=(mm(py + 1.2)) font-size="3.6" text-anchor="end" { (label(y)) }
            }
            @for x in ticks(self.x) {
                @let [px, _] = self.at((x, self.y.0));
                path d={ "M" (mm(px)) " " (mm(BOTTOM)) "v1.5" } stroke="#222" stroke-width="0.3" {}
                text x=(mm(px)) y=(mm(BOTTOM + 5.5)) font-size="3.6" text-anchor="middle" { (mm(x)) }
            }
            path d={ "M" (mm(LEFT)) " " (mm(TOP)) "V" (mm(BOTTOM)) "H" (mm(RIGHT)) } fill="none" stroke="#222"
                stroke-width="0.4" {}
            text x=(mm(f64::midpoint(LEFT, RIGHT))) y=(mm(BOTTOM + 11.5)) font-size="4" text-anchor="middle" { (across) }
            text x=(mm(MARGIN)) y=(mm(TOP - 4.0)) font-size="4" { (up) }
        }
    }
}

fn ticks((low, high): (f64, f64)) -> Vec<f64> {
    let step = round_down((high - low) / 4.0);
    (-200..=200)
        .map(|k| f64::from(k) * step)
        .filter(|&v| v >= low - step * 1e-6 && v <= high + step * 1e-6)
        .collect()
}

/// Moran's I by distance; full discs where chance seldom does as much.
pub(super) fn correlogram(found: &Hotspots) -> String {
    let points: Vec<(f64, f64, bool)> = found
        .correlogram
        .iter()
        .filter_map(|c| {
            let sure = c.p.is_some_and(|p| p <= 0.05);
            Some((f64::midpoint(c.low_m, c.high_m), c.i?, sure))
        })
        .collect();
    let heights = || points.iter().map(|p| p.1);
    let axes = Axes {
        x: (0.0, found.correlogram.last().map_or(1.0, |c| c.high_m)),
        y: (
            heights().fold(-0.2, f64::min) - 0.05,
            heights().fold(0.2, f64::max) + 0.05,
        ),
        percent: false,
    };
    let level = found.moran.expected;
    let inner = html! {
        (axes.draw("distance between places, metres", "Moran's I"))
        polyline points=(axes.line([(axes.x.0, level), (axes.x.1, level)])) fill="none" stroke="#222"
            stroke-width="0.3" stroke-dasharray="2 1.5" {}
        polyline points=(axes.line(points.iter().map(|p| (p.0, p.1)))) fill="none" stroke="#0072B2"
            stroke-width="0.6" {}
        @for (x, y, sure) in &points {
            @let [px, py] = axes.at((*x, *y));
            circle cx=(mm(px)) cy=(mm(py)) r="1.6" fill=(if *sure { "#0072B2" } else { "white" })
                stroke="#0072B2" stroke-width="0.5" {}
        }
        text x=(mm(LEFT)) y=(mm(HEIGHT - 3.0)) font-size="3.6" {
            "Full disc: p at most 0.05 at that distance. Broken line: expected by chance."
        }
    };
    let told: Vec<String> = points
        .iter()
        .map(|p| format!("{:.1} m: {:.2}", p.0, p.1))
        .collect();
    let words = format!("Moran's I by distance between places. {}.", told.join("; "));
    page(
        "How alike are places that lie apart?",
        &words,
        HEIGHT,
        &inner,
    )
}

/// Share of larvae reached against area covered.
pub(super) fn share(cover: &CoverPlan) -> String {
    let green = cover.curve.last().map_or(1.0, |s| s.area_m2);
    let axes = Axes {
        x: (0.0, green),
        y: (0.0, 1.0),
        percent: true,
    };
    let from = |f: fn(&crate::mapping::CoverStep) -> f64| {
        std::iter::once((0.0, 0.0))
            .chain(cover.curve.iter().map(|s| (s.area_m2, f(s))))
            .collect::<Vec<_>>()
    };
    // Where the sheet there is ends, unless it covers everything.
    let laid = cover.strips.iter().take_while(|s| s.laid).count();
    let stock = cover
        .curve
        .get(laid)
        .and(cover.curve.get(laid.wrapping_sub(1)));
    let stock = stock.map(|s| s.area_m2);
    let mut band = from(|s| s.high);
    band.extend(from(|s| s.low).into_iter().rev());
    let inner = html! {
        (axes.draw("ground covered, square metres", "share of the larvae reached"))
        polygon points=(axes.line(band)) fill="#56B4E9" fill-opacity="0.35" {}
        polyline points=(axes.line([(0.0, 0.0), (green, 1.0)])) fill="none" stroke="#222" stroke-width="0.4"
            stroke-dasharray="2 1.5" {}
        polyline points=(axes.line(from(|s| s.share))) fill="none" stroke="#0072B2" stroke-width="0.8" {}
        @if let Some(area) = stock {
            @let [px, _] = axes.at((area, 0.0));
            path d={ "M" (mm(px)) " " (mm(BOTTOM)) "V" (mm(TOP)) } stroke="#222" stroke-width="0.4" {}
            text x=(mm(px + 1.5)) y=(mm(BOTTOM - 2.0)) font-size="3.6" { "the sheet there is" }
        }
        text x=(mm(LEFT)) y=(mm(HEIGHT - 3.0)) font-size="3.6" {
            "Full line: best strips first, with 95 % limits. Broken line: strips spread evenly."
        }
    };
    let told: Vec<String> = cover
        .curve
        .iter()
        .step_by(cover.curve.len().div_ceil(8).max(1))
        .map(|s| {
            format!(
                "{:.0} square metres reach {:.0} % ({:.0} to {:.0} %)",
                s.area_m2,
                100.0 * s.share,
                100.0 * s.low,
                100.0 * s.high
            )
        })
        .collect();
    let words = format!(
        "Share of larvae reached by the best strips. {}.",
        told.join("; ")
    );
    page("What the sheet reaches", &words, HEIGHT, &inner)
}
