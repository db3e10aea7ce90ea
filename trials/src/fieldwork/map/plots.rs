//! The plots of a layout as drawn.

use maud::{Markup, html};

use super::treatment_look::Look;
use crate::design::{Layout, Plot, Treatment};
use crate::drawing::label::Label;
use crate::drawing::lettering::{Weight, fitting, width};
use crate::drawing::palette::{GREY, INK};
use crate::drawing::paper::mm;
use crate::drawing::plane::Plane;

/// Smallest lettering that can be read at arm's length, millimetres.
pub(super) const LEAST_LETTERING_MM: f64 = 1.4;
/// Lettering that is large enough: a number is not made larger than this at its pattern's cost, millimetres.
const LARGE_LETTERING_MM: f64 = 4.5;
/// Largest number of a plot, millimetres.
const LARGEST_LETTERING_MM: f64 = 9.0;
/// Stroke of a plot's edge, millimetres.
pub(super) const EDGE_MM: f64 = 0.45;

/// A plot as drawn: once, however many nights it is used.
pub(super) struct Drawn<'a> {
    /// Its first line in the layout.
    pub(super) plot: &'a Plot,
    /// Positions among the treatments, one for each night.
    pub(super) treatments: Vec<usize>,
}

/// Least height and width of a plot on paper that bears its number and a line below it, millimetres: two lines, or two
/// figures, of the smallest lettering, which may touch the edge.
const LEAST_LETTERED_MM: [f64; 2] = [2.0, 1.6];

/// Whether a plot has room for its number and what stands below it.
pub(super) fn is_lettered(plot: &Plot, plane: &Plane) -> bool {
    let [height, width] = LEAST_LETTERED_MM;
    upright(plot) * plane.scale >= height && across(plot) * plane.scale >= width
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

/// The walk from the middle of each plot to that of the next.
pub(super) fn walk(drawn: &[Drawn<'_>], plane: &Plane) -> Markup {
    let places = drawn.iter().map(|d| {
        let [x, y] = plane.paper(d.plot.x_m, d.plot.y_m);
        format!("{} {}", mm(x), mm(y))
    });
    let path = places.collect::<Vec<_>>().join("L");
    html! {
        @if drawn.len() > 1 {
            path d={ "M" (path) } fill="none" stroke=(GREY) stroke-width="0.8" stroke-linejoin="round" {
                title { "The walk from plot to plot" }
            }
        }
    }
}

/// One plot: guard, pattern, a white plate with its number and what stands below it.
pub(super) fn plot(
    drawn: &Drawn<'_>,
    looks: &[Look],
    plane: &Plane,
    guard_m: f64,
    below: &str,
) -> Markup {
    let p = drawn.plot;
    let centre = [p.x_m, p.y_m];
    let [x, y] = plane.paper(p.x_m, p.y_m);
    let edge = plane.rectangle(centre, [p.length_m, p.width_m], p.angle_deg);
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
    let size = lettering(p, plane);
    let small = if below.is_empty() {
        0.0
    } else {
        fitting(
            below,
            0.94 * across(p) * plane.scale,
            size * 0.8,
            Weight::Regular,
        )
    };
    let widest = width(&p.plot, size, Weight::Bold).max(width(below, small, Weight::Regular));
    // A little air above, between and below.
    let plate = [
        (widest + size * 0.4).min(across(p) * plane.scale),
        0.98 * size + 0.84 * small,
    ];
    let lettered = is_lettered(p, plane);
    // Of a tiny plot no more than the edge of a large one would be left.
    let edge_mm = EDGE_MM.min(0.15 * p.length_m.min(p.width_m) * plane.scale);
    let number = Label::new(p.plot.clone(), [x, y - plate[1] / 2.0 + size * 0.83], size);
    let told = Label::new(below, [x, y + plate[1] / 2.0 - small * 0.1], small);
    html! {
        g class="plot" {
            title {
                "Plot " (p.plot)
                @if let Some(block) = &p.block { ", block " (block) }
                @if !letters.is_empty() {
                    ", treatment " (letters.join(" then "))
                    " (" (p.treatment) ")"
                }
            }
            @if guard_m > 0.0 {
                path d=(plane.rectangle(centre, guarded, p.angle_deg)) fill="none" stroke=(GREY)
                    stroke-width="0.2" stroke-dasharray="1 0.8" {}
            }
            path d=(edge) fill=(fill) {}
            @if lettered {
                rect x=(mm(x - plate[0] / 2.0)) y=(mm(y - plate[1] / 2.0)) width=(mm(plate[0]))
                    height=(mm(plate[1])) rx=(mm(size * 0.2)) fill="white" {}
            }
            path d=(edge) fill="none" stroke=(INK) stroke-width=(mm(edge_mm)) {}
            @if lettered {
                (number.bold().middle().drawn())
                @if !below.is_empty() { (told.middle().drawn()) }
            }
        }
    }
}

/// Size of a plot's number, millimetres: by its shorter side, and where that makes it small and the
/// plot stands upright, by the room above and below.
fn lettering(plot: &Plot, plane: &Plane) -> f64 {
    let [short, wide, long] = [
        plot.length_m.min(plot.width_m),
        across(plot),
        plot.length_m.max(plot.width_m),
    ]
    .map(|m| m * plane.scale);
    let straight = plot.angle_deg.rem_euclid(90.0) == 0.0;
    let upright = if straight && wide < long { long } else { short };
    // Short numbers are as large as those of two figures.
    let figures = width(&plot.plot, 1.0, Weight::Bold).max(width("00", 1.0, Weight::Bold));
    let fits = (0.3 * upright).min(0.67 * wide / figures);
    fits.min(LARGE_LETTERING_MM)
        .max(0.42 * short)
        .min(0.94 * wide / figures)
        .clamp(LEAST_LETTERING_MM, LARGEST_LETTERING_MM)
}

/// Height of a plot as the page lies, metres; the shorter side where it stands askew.
fn upright(plot: &Plot) -> f64 {
    match plot.angle_deg.rem_euclid(180.0) {
        0.0 => plot.width_m,
        90.0 => plot.length_m,
        _ => plot.length_m.min(plot.width_m),
    }
}

/// Width of a plot as the page lies, metres; the shorter side where it stands askew.
fn across(plot: &Plot) -> f64 {
    match plot.angle_deg.rem_euclid(180.0) {
        0.0 => plot.length_m,
        90.0 => plot.width_m,
        _ => plot.length_m.min(plot.width_m),
    }
}
