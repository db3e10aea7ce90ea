//! The drawing common to all maps: ground, holes, zones, plots.

use geo::{Centroid, InteriorPoint, Polygon};
use maud::{Markup, html};

use super::pattern::Look;
use super::sketch::{Sketch, mm};
use crate::area::Outline;
use crate::design::{Layout, Plot, Treatment};

/// A plot as drawn: once, however many nights it is used.
pub(super) struct Drawn<'a> {
    /// Its first line in the layout.
    pub(super) plot: &'a Plot,
    /// Positions among the treatments, one for each night.
    pub(super) treatments: Vec<usize>,
}

/// The plots of a layout, each once, in order.
pub(super) fn drawn<'a>(layout: &'a Layout, treatments: &[Treatment]) -> Vec<Drawn<'a>> {
    let mut all: Vec<Drawn<'a>> = Vec::new();
    for plot in &layout.plots {
        let treatment = treatments.iter().position(|t| t.code == plot.treatment);
        match all.iter_mut().find(|d| d.plot.plot == plot.plot) {
            Some(met) => met.treatments.extend(treatment),
            None => all.push(Drawn {
                plot,
                treatments: treatment.into_iter().collect(),
            }),
        }
    }
    all
}

/// The green with its zones and holes.
pub(super) fn ground(outline: &Outline, sketch: &Sketch) -> Markup {
    // Zones stay apart in grey print by tint and edge; each carries its name.
    const TINTS: [&str; 4] = ["#d9ead3", "#fff2cc", "#d0e3f2", "#eadcea"];
    let edge = sketch.ring(outline.ground.exterior());
    html! {
        clipPath id="green" { path d=(edge) {} }
        path d=(edge) fill="#eef5ea" {}
        g clip-path="url(#green)" {
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

/// Names of the zones, set on the ground they name, over everything else.
pub(super) fn zone_names(outline: &Outline, sketch: &Sketch, layout: &Layout) -> Markup {
    html! {
        @for zone in &outline.zones {
            @if let Some([x, y]) = name_place(outline, &zone.ground, sketch, layout) {
                text x=(mm(x)) y=(mm(y)) font-size="3.4" font-style="italic" text-anchor="middle"
                    fill="#222" stroke="white" stroke-width="0.8" paint-order="stroke" { (zone.name) }
            }
        }
    }
}

/// A place for a zone's name on free ground of the zone, as far from plots as a coarse net finds.
fn name_place(
    outline: &Outline,
    zone: &Polygon<f64>,
    sketch: &Sketch,
    layout: &Layout,
) -> Option<[f64; 2]> {
    const NET: u32 = 24;
    let (low, high) = outline.bounds();
    let at = |i: u32, axis: usize| {
        low[axis] + (high[axis] - low[axis]) * (f64::from(i) + 0.5) / f64::from(NET)
    };
    let clearance = |x: f64, y: f64| {
        let plots = layout.plots.iter().map(|p| {
            let reach = p.length_m.hypot(p.width_m) / 2.0;
            (x - p.x_m).hypot(y - p.y_m) - reach
        });
        plots.fold(outline.distance_to_edge_m(x, y), f64::min)
    };
    let free = (0..NET)
        .flat_map(|i| (0..NET).map(move |j| (at(i, 0), at(j, 1))))
        .filter(|&(x, y)| {
            use geo::Contains;
            outline.contains(x, y) && zone.contains(&geo::Point::new(x, y))
        })
        .max_by(|a, b| clearance(a.0, a.1).total_cmp(&clearance(b.0, b.1)));
    let (x, y) = free.or_else(|| {
        let point = zone.centroid().or_else(|| zone.interior_point())?;
        Some((point.x(), point.y()))
    })?;
    Some(sketch.paper(x, y))
}

/// One plot: guard, pattern, a white plate with its number and what stands below it.
pub(super) fn plot(
    drawn: &Drawn<'_>,
    looks: &[Look],
    sketch: &Sketch,
    guard_m: f64,
    below: &str,
) -> Markup {
    let p = drawn.plot;
    let centre = [p.x_m, p.y_m];
    let [x, y] = sketch.paper(p.x_m, p.y_m);
    let guarded = [p.length_m + 2.0 * guard_m, p.width_m + 2.0 * guard_m];
    let letters: Vec<&str> = drawn
        .treatments
        .iter()
        .map(|&t| looks[t].letter.as_str())
        .collect();
    let fill = match drawn.treatments.as_slice() {
        [only] => looks[*only].fill.as_str(),
        _ => "white",
    };
    let short = p.length_m.min(p.width_m) * sketch.mm_per_m;
    let size = (short * 0.36).clamp(1.5, 9.0);
    let small = size * 0.62;
    let widest =
        (p.plot.len() as f64 * size * 0.62).max(below.chars().count() as f64 * small * 0.6);
    let plate = [widest + size * 0.4, size * 0.95 + small * 1.15];
    html! {
        g class="plot" {
            title {
                "Plot " (p.plot)
                @if let Some(block) = &p.block { ", block " (block) }
                ", treatment " (letters.join(" then "))
                " (" (p.treatment) ")"
            }
            @if guard_m > 0.0 {
                path d=(sketch.rectangle(centre, guarded, p.angle_deg)) fill="none" stroke="#666"
                    stroke-width="0.2" stroke-dasharray="1 0.8" {}
            }
            path d=(sketch.rectangle(centre, [p.length_m, p.width_m], p.angle_deg)) fill=(fill)
                stroke="black" stroke-width="0.45" {}
            rect x=(mm(x - plate[0] / 2.0)) y=(mm(y - plate[1] / 2.0)) width=(mm(plate[0]))
                height=(mm(plate[1])) rx=(mm(size * 0.2)) fill="white" {}
            text x=(mm(x)) y=(mm(y - plate[1] / 2.0 + size * 0.86)) font-size=(mm(size))
                font-weight="bold" text-anchor="middle" { (p.plot) }
            text x=(mm(x)) y=(mm(y + plate[1] / 2.0 - small * 0.28)) font-size=(mm(small))
                text-anchor="middle" { (below) }
        }
    }
}
