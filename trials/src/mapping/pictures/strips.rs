//! The cover plan at true scale.

use maud::{Markup, html};

use super::PictureFile;
use super::ground::{Ground, SAMPLE, Told};
use crate::area::Outline;
use crate::drawing::label::Label;
use crate::drawing::lettering::{Weight, fitting};
use crate::drawing::palette::{INK, SKY};
use crate::drawing::paper::mm;
use crate::drawing::plane::Plane;
use crate::drawing::{Cell, FigureData};
use crate::mapping::cover_plan::{CoverPlan, Strip};

/// Largest and least size of a strip's number, millimetres; one that would be smaller is left out.
const NUMBER: [f64; 2] = [3.4, 1.6];

/// The strips, numbered from the best; those within the sheet there is are shaded.
pub(super) fn strips(cover: &CoverPlan, ground: &Ground<'_>) -> Option<PictureFile> {
    let outline = ground.outline?;
    let most = cover
        .strips
        .first()
        .map_or(1.0, |s| s.expected_share / s.sheet_m2);
    let told = Told {
        name: "cover-plan",
        title: "Strips that reach most larvae".to_owned(),
        description: told(cover),
        key: Vec::new(),
        sample: SAMPLE,
        foot: vec![
            "Numbers: the best strip first.".to_owned(),
            "Deeper: more larvae per square metre of sheet.".to_owned(),
            "Broken edge, no shade: beyond the sheet there is.".to_owned(),
        ],
        data: data(cover),
    };
    Some(ground.page(told, |plane, clip| {
        html! {
            @for s in &cover.strips {
                g {
                    title { "Strip " (s.strip) ": " (format!("{:.1} %", 100.0 * s.expected_share)) " of the larvae" }
                    g clip-path={ "url(#" (clip) ")" } { (strip(s, plane, most)) }
                    (number(s, outline, plane))
                }
            }
        }
    }))
}

/// The strip itself, the deeper the more it reaches.
fn strip(s: &Strip, plane: &Plane, most: f64) -> Markup {
    let worth = s.expected_share / s.sheet_m2 / most;
    let depth = if s.laid {
        mm(0.15 + 0.85 * worth)
    } else {
        "0".to_owned()
    };
    html! {
        path d=(plane.rectangle([s.x_m, s.y_m], [s.length_m, s.width_m], s.angle_deg)) fill=(SKY)
            fill-opacity=(depth) stroke=(INK) stroke-width="0.25" stroke-dasharray=[(!s.laid).then_some("1 1")] {}
    }
}

/// Its number on the part that lies on the green; a sliver has no room.
fn number(s: &Strip, outline: &Outline, plane: &Plane) -> Markup {
    let text = s.strip.to_string();
    let room = 0.9 * s.width_m.min(s.length_m) * plane.scale;
    let size = fitting(&text, room, NUMBER[0].min(room), Weight::Regular);
    let place = middle(s, outline).filter(|_| s.area_m2 > s.sheet_m2 / 3.0 && size >= NUMBER[1]);
    html! {
        @if let Some([x, y]) = place.map(|[x, y]| plane.paper(x, y)) {
            (Label::new(text, [x, y + 0.36 * size], size).middle().haloed().drawn())
        }
    }
}

fn data(cover: &CoverPlan) -> FigureData {
    let mut data = FigureData::new(&[
        "strip",
        "x_m",
        "y_m",
        "length_m",
        "area_m2",
        "expected_share",
        "laid",
    ]);
    let row = |s: &Strip| {
        let mut row = vec![Cell::from(s.strip.to_string().as_str())];
        row.extend([s.x_m, s.y_m, s.length_m, s.area_m2, s.expected_share].map(Cell::from));
        row.push(if s.laid { "yes" } else { "no" }.into());
        row
    };
    data.rows = cover.strips.iter().map(row).collect();
    data
}

/// The middle of the part of a strip that lies on the green; none where that part's middle lies off it. The part is
/// felt for at points of a lattice: a number needs no better place.
fn middle(s: &Strip, outline: &Outline) -> Option<[f64; 2]> {
    let (sin, cos) = s.angle_deg.to_radians().sin_cos();
    let at = |i: u32| (f64::from(i) + 0.5) / f64::from(LATTICE) - 0.5;
    let inside: Vec<[f64; 2]> = (0..LATTICE)
        .flat_map(|i| (0..LATTICE).map(move |j| (i, j)))
        .map(|(i, j)| (at(i) * s.length_m, at(j) * s.width_m))
        .map(|(u, v)| [s.x_m + u * cos - v * sin, s.y_m + u * sin + v * cos])
        .filter(|[x, y]| outline.contains(*x, *y))
        .collect();
    let mean = |i: usize| inside.iter().map(|p| p[i]).sum::<f64>() / inside.len() as f64;
    let middle = [mean(0), mean(1)];
    outline.contains(middle[0], middle[1]).then_some(middle)
}

/// Points along and across a strip at which it is asked whether they lie on the green.
const LATTICE: u32 = 24;

/// What the strips that are laid cover and reach.
fn told(cover: &CoverPlan) -> String {
    if cover.curve.is_empty() {
        let laid = || cover.strips.iter().filter(|s| s.laid);
        return format!(
            "{} strips on this green cover {:.0} square metres and are expected to reach {:.0} % of the larvae of \
             all greens.",
            laid().count(),
            laid().map(|s| s.area_m2).sum::<f64>(),
            100.0 * laid().map(|s| s.expected_share).sum::<f64>()
        );
    }
    let laid: Vec<_> = cover
        .strips
        .iter()
        .zip(&cover.curve)
        .filter(|s| s.0.laid)
        .collect();
    laid.last().map_or_else(
        || "No strip can be laid from the sheet there is.".to_owned(),
        |(_, step)| {
            format!(
                "{} strips cover {:.0} square metres, {:.0} % of the green, and are expected to reach {:.0} % of \
                 the larvae ({:.0} to {:.0} %).",
                laid.len(),
                step.area_m2,
                100.0 * step.naive_share,
                100.0 * step.share,
                100.0 * step.low,
                100.0 * step.high
            )
        },
    )
}
