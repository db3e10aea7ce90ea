//! Maps: counts as discs, hot and cold places, the surface, the strips.

use geo::LineString;
use halfgreen_analysis::spatial::hot_spots::Class;
use maud::{Markup, html};

use super::page::{HEAD, MARGIN, WIDTH, mm, page, round_down};
use crate::area::Outline;
use crate::mapping::findings::{Hotspots, Local};
use crate::mapping::surface::Surface;

/// Where the ground lies on the page.
pub(super) struct Ground {
    low: [f64; 2],
    /// Millimetres on paper for a metre of ground.
    pub(super) scale: f64,
    bottom: f64,
    high: [f64; 2],
}

/// Greatest height of the ground on the page, millimetres.
const TALLEST: f64 = 170.0;
/// Height below the ground for scale bar and key, millimetres.
const FOOT: f64 = 32.0;

impl Ground {
    pub(super) fn new(outline: Option<&Outline>, places: &[Local]) -> Self {
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
        let scale = ((WIDTH - 2.0 * MARGIN) / span[0]).min(TALLEST / span[1]);
        Self {
            low,
            scale,
            bottom: HEAD + span[1] * scale,
            high,
        }
    }

    pub(super) fn paper(&self, x: f64, y: f64) -> [f64; 2] {
        [
            MARGIN + (x - self.low[0]) * self.scale,
            self.bottom - (y - self.low[1]) * self.scale,
        ]
    }

    fn ring(&self, ring: &LineString<f64>) -> String {
        let corners: Vec<String> = ring
            .coords()
            .map(|c| {
                let [x, y] = self.paper(c.x, c.y);
                format!("{} {}", mm(x), mm(y))
            })
            .collect();
        format!("M{}Z", corners.join("L"))
    }

    /// The drawing between the ground and its edge, with scale bar and key.
    pub(super) fn page(
        &self,
        title: &str,
        words: &str,
        outline: Option<&Outline>,
        inner: &Markup,
        key: &Markup,
    ) -> String {
        let metres = round_down(50.0 / self.scale);
        let below = self.bottom + 8.0;
        let edge = outline.map(|o| self.ring(o.ground.exterior()));
        let drawing = html! {
            @if let Some(edge) = &edge {
                clipPath id="green" { path d=(edge) {} }
                path d=(edge) fill="#f4f4f0" {}
            }
            (inner)
            @if let (Some(outline), Some(edge)) = (outline, &edge) {
                path d=(edge) fill="none" stroke="#222" stroke-width="0.7" { title { "Edge of the green" } }
                @for hole in outline.ground.interiors() {
                    path d=(self.ring(hole)) fill="#bbb" stroke="#222" stroke-width="0.4" {}
                }
            }
            rect x=(mm(MARGIN)) y=(mm(below)) width=(mm(metres * self.scale)) height="1.4" fill="black" {}
            text x=(mm(MARGIN)) y=(mm(below + 6.0)) font-size="3.8" {
                (metres) " m; north is up" @if outline.is_none() { "; the edge of the green was not given" }
            }
            (key)
        };
        page(title, words, self.bottom + FOOT, &drawing)
    }

    /// Height at which the key stands.
    pub(super) fn key(&self) -> f64 {
        self.bottom + 21.0
    }
}

/// Counts as discs whose areas are in proportion.
pub(super) fn bubbles(found: &Hotspots, outline: Option<&Outline>) -> String {
    let ground = Ground::new(outline, &found.local);
    let most = found.local.iter().map(|l| l.count).max().unwrap_or(0);
    let room = spacing(&found.local) * ground.scale * 0.48;
    let radius = |count: u32| {
        if most == 0 {
            0.0
        } else {
            room.min(9.0) * (f64::from(count) / f64::from(most)).sqrt()
        }
    };
    let inner = html! {
        @for l in &found.local {
            @let [x, y] = ground.paper(l.x_m, l.y_m);
            @if l.count == 0 {
                path d={ "M" (mm(x - 1.0)) " " (mm(y)) "h2M" (mm(x)) " " (mm(y - 1.0)) "v2" } stroke="#555"
                    stroke-width="0.3" { title { "none" } }
            } @else {
                circle cx=(mm(x)) cy=(mm(y)) r=(mm(radius(l.count))) fill="#0072B2" fill-opacity="0.75"
                    stroke="black" stroke-width="0.2" { title { (l.count) } }
            }
        }
    };
    let half = most.div_ceil(2).max(1);
    let key = html! {
        @for (i, count) in [most.max(1), half].into_iter().enumerate() {
            @let x = 100.0 + 36.0 * i as f64;
            circle cx=(mm(x)) cy=(mm(ground.key() - 1.0)) r=(mm(radius(count))) fill="#0072B2"
                fill-opacity="0.75" stroke="black" stroke-width="0.2" {}
            text x=(mm(x + 10.0)) y=(mm(ground.key())) font-size="3.8" { (count) " larvae" }
        }
        text x=(mm(MARGIN)) y=(mm(ground.key() + 1.0)) font-size="3.8" { "+ none" }
    };
    let total: u64 = found.local.iter().map(|l| u64::from(l.count)).sum();
    let words = format!(
        "Map of {} places with {total} larvae, at most {most} at one place; discs grow with the count. {}",
        found.local.len(),
        found.meaning.join(" ")
    );
    ground.page("Larvae counted", &words, outline, &inner, &key)
}

/// Distance from a place to its nearest neighbour at another place, the smallest of all, metres.
fn spacing(places: &[Local]) -> f64 {
    let mut least = f64::INFINITY;
    for (i, a) in places.iter().enumerate() {
        for b in &places[..i] {
            let d = (a.x_m - b.x_m).hypot(a.y_m - b.y_m);
            if d > 0.0 {
                least = least.min(d);
            }
        }
    }
    if least.is_finite() { least } else { 1.0 }
}

/// Hot, cold and other places, each with its own mark.
pub(super) fn spots(found: &Hotspots, outline: Option<&Outline>) -> String {
    let ground = Ground::new(outline, &found.local);
    let size = (spacing(&found.local) * ground.scale * 0.42).clamp(0.8, 5.0);
    let mark = |class: Class, [x, y]: [f64; 2], size: f64| match class {
        Class::Hot => html! {
            rect x=(mm(x - size)) y=(mm(y - size)) width=(mm(2.0 * size)) height=(mm(2.0 * size))
                fill="#B03A00" stroke="black" stroke-width="0.2" {}
            path d={ "M" (mm(x - size * 0.6)) " " (mm(y)) "h" (mm(size * 1.2)) "M" (mm(x)) " "
                (mm(y - size * 0.6)) "v" (mm(size * 1.2)) } stroke="white" stroke-width=(mm(size * 0.25)) {}
        },
        Class::Cold => html! {
            circle cx=(mm(x)) cy=(mm(y)) r=(mm(size)) fill="#BFE3F7" stroke="black" stroke-width="0.3" {}
            path d={ "M" (mm(x - size * 0.6)) " " (mm(y)) "h" (mm(size * 1.2)) } stroke="black"
                stroke-width=(mm(size * 0.25)) {}
        },
        Class::NotSignificant => html! {
            circle cx=(mm(x)) cy=(mm(y)) r=(mm(size * 0.3)) fill="#777" {}
        },
    };
    let inner = html! {
        @for l in &found.local {
            g {
                title {
                    (l.count) " larvae"
                    @if let Some(z) = l.gi_star { ", Gi* " (format!("{z:.2}")) }
                    @if let Some(q) = l.q { ", q " (format!("{q:.3}")) }
                }
                (mark(l.class, ground.paper(l.x_m, l.y_m), size))
            }
        }
    };
    let names = [
        (Class::Hot, "hot: more around here than chance puts"),
        (Class::Cold, "cold: fewer"),
        (Class::NotSignificant, "neither"),
    ];
    let key = html! {
        @for ((class, name), x) in names.into_iter().zip([14.0, 100.0, 142.0]) {
            (mark(class, [x, ground.key() - 1.2], 2.4))
            text x=(mm(x + 5.0)) y=(mm(ground.key())) font-size="3.8" { (name) }
        }
    };
    let words = found.meaning.join(" ");
    ground.page("Hot and cold places", &words, outline, &inner, &key)
}

/// Six shades from light to dark, apart in grey and for colour-blind readers.
const SHADES: [&str; 6] = [
    "#fdf6d0", "#f2d58a", "#dfa75a", "#b9744a", "#7f4444", "#41213d",
];

/// Expected larvae over the green, per core or per place.
pub(super) fn surface(surface: &Surface, outline: &Outline, per: &str) -> String {
    raster(
        outline,
        &format!("Larvae {per}, predicted"),
        per,
        &|x, y| surface.at((x, y)).mean,
    )
}

/// How far out the surface may be.
pub(super) fn uncertainty(surface: &Surface, outline: &Outline) -> String {
    raster(
        outline,
        "How far out the prediction may be",
        "times too high or low (95 %)",
        &|x, y| (1.96 * surface.at((x, y)).log_se).exp(),
    )
}

fn raster(outline: &Outline, title: &str, unit: &str, value: &dyn Fn(f64, f64) -> f64) -> String {
    const ACROSS: f64 = 60.0;
    let ground = Ground::new(Some(outline), &[]);
    let side = (ground.high[0] - ground.low[0]).max(ground.high[1] - ground.low[1]) / ACROSS;
    let mut cells = Vec::new();
    for k in 0..60 * 60 {
        let at = [f64::from(k % 60), f64::from(k / 60)];
        let [x, y] = [0, 1].map(|axis| (at[axis] + 0.5).mul_add(side, ground.low[axis]));
        let reached = x - side < ground.high[0] && y - side < ground.high[1];
        if reached && outline.distance_to_edge_m(x, y) < side || outline.contains(x, y) {
            cells.push((x, y, value(x, y)));
        }
    }
    let low = cells.iter().map(|c| c.2).fold(f64::INFINITY, f64::min);
    let high = cells.iter().map(|c| c.2).fold(0.0, f64::max);
    let shade = |v: f64| {
        let share = if high > low {
            (v - low) / (high - low)
        } else {
            0.0
        };
        let at = (0..6_u8)
            .rfind(|&k| share >= f64::from(k) / 6.0)
            .unwrap_or(0);
        SHADES[usize::from(at)]
    };
    let paper = side * ground.scale;
    let inner = html! {
        g clip-path="url(#green)" shape-rendering="crispEdges" {
            @for (x, y, v) in &cells {
                @let [px, py] = ground.paper(*x, *y);
                rect x=(mm(px - paper / 2.0)) y=(mm(py - paper / 2.0)) width=(mm(paper + 0.02))
                    height=(mm(paper + 0.02)) fill=(shade(*v)) {}
            }
        }
    };
    let key = html! {
        @for (k, fill) in SHADES.iter().enumerate() {
            @let x = MARGIN + 26.0 * k as f64;
            rect x=(mm(x)) y=(mm(ground.key() - 3.6)) width="5" height="4.4" fill=(fill) stroke="black"
                stroke-width="0.2" {}
            text x=(mm(x + 6.0)) y=(mm(ground.key())) font-size="3.6" {
                (format!("from {:.1}", low + (high - low) * k as f64 / 6.0))
            }
        }
        text x=(mm(MARGIN + 156.0)) y=(mm(ground.key() + 4.6)) font-size="3.6" text-anchor="end" { (unit) }
    };
    let words =
        format!("Map of the green; values run from {low:.2} to {high:.2} {unit}. North is up.");
    ground.page(title, &words, Some(outline), &inner, &key)
}
