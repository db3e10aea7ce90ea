//! Plots and the frames of their blocks.

use maud::{Markup, html};

use super::pattern::Look;
use super::sketch::{Sketch, mm};
use crate::design::{Layout, Plot, Treatment};

/// Smallest lettering that can be read at arm's length, millimetres.
const LEAST_LETTERING_MM: f64 = 1.4;

/// Lettering that is large enough: a number is not made larger than this at its pattern's cost, millimetres.
const LARGE_LETTERING_MM: f64 = 4.5;

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

/// The frame of a block: its name, the centre and sides of its ground, the direction of its plots.
pub(super) struct Frame<'a> {
    name: &'a str,
    centre: [f64; 2],
    sides: [f64; 2],
    angle_deg: f64,
}

/// Frames of all blocks, `None` unless each block fills a rectangle of its own: frames that cross,
/// as of blocks formed by rank, would mislead.
pub(super) fn frames<'a>(drawn: &[Drawn<'a>], guard_m: f64) -> Option<Vec<Frame<'a>>> {
    let mut blocks: Vec<(&str, Vec<&Plot>)> = Vec::new();
    for d in drawn {
        let name = d.plot.block.as_deref()?;
        match blocks.iter_mut().find(|(met, _)| *met == name) {
            Some((_, plots)) => plots.push(d.plot),
            None => blocks.push((name, vec![d.plot])),
        }
    }
    blocks
        .into_iter()
        .map(|(name, plots)| {
            let (centre, sides) = frame(&plots, drawn, guard_m)?;
            Some(Frame {
                name,
                centre,
                sides,
                angle_deg: plots.first()?.angle_deg,
            })
        })
        .collect()
}

/// Lines round the whole plots of a split plot, over which one sheet is laid: plots of one block and row
/// that stand in no column and are used once.
pub(super) fn whole_plots(drawn: &[Drawn<'_>], guard_m: f64, sketch: &Sketch) -> Markup {
    let mut whole: Vec<Vec<&Plot>> = Vec::new();
    for d in drawn.iter().filter(|d| d.treatments.len() == 1) {
        let same = |met: &&mut Vec<&Plot>| {
            met.first()
                .is_some_and(|p| p.block == d.plot.block && p.row == d.plot.row)
        };
        if d.plot.row.is_none() || d.plot.column.is_some() {
            continue;
        }
        match whole.iter_mut().find(same) {
            Some(plots) => plots.push(d.plot),
            None => whole.push(vec![d.plot]),
        }
    }
    html! {
        @for plots in &whole {
            @if let Some((centre, sides)) = frame(plots, drawn, guard_m) {
                path d=(sketch.rectangle(centre, sides, plots[0].angle_deg)) fill="none" stroke="#333"
                    stroke-width="0.3" { title { "Whole plot" } }
            }
        }
    }
}

/// Draws the frames, each with its block's name in the guard at its upper left corner where the guard
/// has room for it.
pub(super) fn block_frames(frames: &[Frame<'_>], guard_m: f64, sketch: &Sketch) -> Markup {
    // Capitals take 0.72 of a letter's size: this fills the guard and stays clear of frame and plot.
    let size = (guard_m * sketch.mm_per_m * 1.1).min(3.0);
    html! {
        @for f in frames {
            path d=(sketch.rectangle(f.centre, f.sides, f.angle_deg)) fill="none" stroke="#333"
                stroke-width="0.55" { title { "Block " (f.name) } }
            @if size >= LEAST_LETTERING_MM { (block_name(f, size, sketch)) }
        }
    }
}

/// The name along the frame's upper side, turned with it by an eighth of a turn at most.
fn block_name(frame: &Frame<'_>, size: f64, sketch: &Sketch) -> Markup {
    let quarter = (frame.angle_deg / 90.0).round();
    let turn = 90.0f64.mul_add(-quarter, frame.angle_deg);
    let [along, across] = frame.sides.map(|s| s * sketch.mm_per_m / 2.0);
    let half = if quarter.rem_euclid(2.0) == 0.0 {
        [along, across]
    } else {
        [across, along]
    };
    let [x, y] = sketch.paper(frame.centre[0], frame.centre[1]);
    let place = format!("translate({} {}) rotate({})", mm(x), mm(y), mm(-turn));
    html! {
        g transform=(place) {
            text x=(mm(0.8 - half[0])) y=(mm(size * 0.82 - half[1])) font-size=(mm(size)) fill="#222"
                stroke="white" stroke-width=(mm(size * 0.2)) paint-order="stroke" {
                "block " (frame.name)
            }
        }
    }
}

/// Centre and sides of the rectangle round a block's tiles; `None` if a plot of another block lies in
/// it, or it holds a single plot.
fn frame(plots: &[&Plot], all: &[Drawn<'_>], guard_m: f64) -> Option<([f64; 2], [f64; 2])> {
    let first = plots.first().filter(|_| plots.len() > 1)?;
    let (sin, cos) = first.angle_deg.to_radians().sin_cos();
    let turned = |p: &Plot| {
        [
            p.x_m.mul_add(cos, p.y_m * sin),
            p.y_m.mul_add(cos, -p.x_m * sin),
        ]
    };
    let half = [
        first.length_m / 2.0 + guard_m,
        first.width_m / 2.0 + guard_m,
    ];
    let mut low = [f64::INFINITY; 2];
    let mut high = [f64::NEG_INFINITY; 2];
    for p in plots {
        for (axis, at) in turned(p).into_iter().enumerate() {
            low[axis] = low[axis].min(at - half[axis]);
            high[axis] = high[axis].max(at + half[axis]);
        }
    }
    let strangers = all.iter().filter(|d| d.plot.block != first.block);
    let within = |d: &Drawn<'_>| {
        let at = turned(d.plot);
        (0..2).all(|axis| low[axis] < at[axis] && at[axis] < high[axis])
    };
    if strangers.into_iter().any(within) {
        return None;
    }
    let [u, v] = [0, 1].map(|axis| f64::midpoint(low[axis], high[axis]));
    let centre = [u.mul_add(cos, -v * sin), u.mul_add(sin, v * cos)];
    Some((centre, [high[0] - low[0], high[1] - low[1]]))
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
    let edge = sketch.rectangle(centre, [p.length_m, p.width_m], p.angle_deg);
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
    let size = lettering(p, sketch);
    let small = if below.is_empty() {
        0.0
    } else {
        fitting(p, sketch, below).min(size * 0.8)
    };
    let widest =
        (p.plot.len() as f64 * size * 0.62).max(below.chars().count() as f64 * small * 0.6);
    // Figures are 0.73 of the lettering's size high; a little air above, between and below.
    let plate = [
        (widest + size * 0.4).min(across(p) * sketch.mm_per_m),
        0.98 * size + 0.84 * small,
    ];
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
                path d=(sketch.rectangle(centre, guarded, p.angle_deg)) fill="none" stroke="#666"
                    stroke-width="0.2" stroke-dasharray="1 0.8" {}
            }
            path d=(edge) fill=(fill) {}
            rect x=(mm(x - plate[0] / 2.0)) y=(mm(y - plate[1] / 2.0)) width=(mm(plate[0]))
                height=(mm(plate[1])) rx=(mm(size * 0.2)) fill="white" {}
            path d=(edge) fill="none" stroke="black" stroke-width="0.45" {}
            text x=(mm(x)) y=(mm(y - plate[1] / 2.0 + size * 0.83)) font-size=(mm(size))
                font-weight="bold" text-anchor="middle" { (p.plot) }
            @if !below.is_empty() {
                text x=(mm(x)) y=(mm(y + plate[1] / 2.0 - small * 0.1)) font-size=(mm(small))
                    text-anchor="middle" { (below) }
            }
        }
    }
}

/// Size of a plot's number, millimetres: by its shorter side, and where that makes it small and the
/// plot stands upright, by the room above and below.
fn lettering(plot: &Plot, sketch: &Sketch) -> f64 {
    let [short, wide, long] = [
        plot.length_m.min(plot.width_m),
        across(plot),
        plot.length_m.max(plot.width_m),
    ]
    .map(|m| m * sketch.mm_per_m);
    let straight = plot.angle_deg.rem_euclid(90.0) == 0.0;
    let upright = if straight && wide < long { long } else { short };
    let figures = plot.plot.chars().count().max(2) as f64;
    let fits = (0.3 * upright).min(0.75 * wide / (0.62 * figures));
    fits.min(LARGE_LETTERING_MM)
        .max(0.42 * short)
        .clamp(1.5, 9.0)
}

/// Size at which a line fits across a plot, letters being some 0.6 as wide as high, millimetres.
fn fitting(plot: &Plot, sketch: &Sketch, line: &str) -> f64 {
    0.9 * across(plot) * sketch.mm_per_m / (0.6 * line.chars().count().max(1) as f64)
}

/// Width of a plot as the page lies, metres; the shorter side where it stands askew.
fn across(plot: &Plot) -> f64 {
    match plot.angle_deg.rem_euclid(180.0) {
        0.0 => plot.length_m,
        90.0 => plot.width_m,
        _ => plot.length_m.min(plot.width_m),
    }
}
