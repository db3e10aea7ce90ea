//! Frames round blocks and whole plots.

use maud::{Markup, html};

use super::plots::{Drawn, EDGE_MM, LEAST_LETTERING_MM};
use crate::design::Plot;
use crate::drawing::label::{CAPITAL, Label};
use crate::drawing::lettering::{Weight, cut, fitting};
use crate::drawing::palette::INK;
use crate::drawing::paper::mm;
use crate::drawing::plane::Plane;

/// Stroke of a block's frame, millimetres.
const FRAME_MM: f64 = 0.55;
/// Largest name of a block, millimetres.
const LARGEST_NAME_MM: f64 = 3.0;

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
pub(super) fn whole_plots(drawn: &[Drawn<'_>], guard_m: f64, plane: &Plane) -> Markup {
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
                path d=(plane.rectangle(centre, sides, plots[0].angle_deg)) fill="none" stroke=(INK)
                    stroke-width="0.3" { title { "Whole plot" } }
            }
        }
    }
}

/// Draws the frames, each with its block's name in the guard at its upper left corner where the guard
/// has room for it.
pub(super) fn block_frames(frames: &[Frame<'_>], guard_m: f64, plane: &Plane) -> Markup {
    // Between the strokes of the frame and of the plots, with a little air.
    let room = guard_m * plane.scale - f64::midpoint(FRAME_MM, EDGE_MM) - 0.18;
    let size = (room / CAPITAL).min(LARGEST_NAME_MM);
    html! {
        @for f in frames {
            path d=(plane.rectangle(f.centre, f.sides, f.angle_deg)) fill="none" stroke=(INK)
                stroke-width=(mm(FRAME_MM.min(0.08 * f.sides[0].min(f.sides[1]) * plane.scale))) { title { "Block " (f.name) } }
            @if size >= LEAST_LETTERING_MM { (block_name(f, size, plane)) }
        }
    }
}

/// The name along the frame's upper side, turned with it by an eighth of a turn at most.
fn block_name(frame: &Frame<'_>, size: f64, plane: &Plane) -> Markup {
    let quarter = (frame.angle_deg / 90.0).round();
    let turn = 90.0f64.mul_add(-quarter, frame.angle_deg);
    let [along, across] = frame.sides.map(|s| s * plane.scale / 2.0);
    let half = if quarter.rem_euclid(2.0) == 0.0 {
        [along, across]
    } else {
        [across, along]
    };
    let [x, y] = plane.paper(frame.centre[0], frame.centre[1]);
    let place = format!("translate({} {}) rotate({})", mm(x), mm(y), mm(-turn));
    let at = [
        0.8 - half[0],
        FRAME_MM / 2.0 + 0.09 + CAPITAL * size - half[1],
    ];
    let room = 2.0 * half[0] - 1.6;
    let name = format!("block {}", frame.name);
    let size = fitting(&name, room, size, Weight::Regular).max(LEAST_LETTERING_MM);
    let name = cut(&name, room, size, Weight::Regular);
    html! { g transform=(place) { (Label::new(name, at, size).haloed().drawn()) } }
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
