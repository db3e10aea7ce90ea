//! The cover plan at true scale.

use maud::html;

use super::map::Ground;
use super::page::{MARGIN, mm};
use crate::area::Outline;
use crate::mapping::cover_plan::{CoverPlan, Strip};

/// The strips, numbered from the best; those within the sheet there is are shaded.
pub(super) fn strips(cover: &CoverPlan, outline: &Outline) -> String {
    let ground = Ground::new(Some(outline), &[]);
    let most = cover
        .strips
        .first()
        .map_or(1.0, |s| s.expected_share / s.sheet_m2);
    let inner = html! {
        @for s in &cover.strips {
            @let [x, y] = ground.paper(s.x_m, s.y_m);
            @let (w, h) = (s.length_m * ground.scale, s.width_m * ground.scale);
            @let worth = s.expected_share / s.sheet_m2 / most;
            g {
                title { "Strip " (s.strip) ": " (format!("{:.1} %", 100.0 * s.expected_share)) " of the larvae" }
                g clip-path="url(#green)" {
                    rect x=(mm(x - w / 2.0)) y=(mm(y - h / 2.0)) width=(mm(w)) height=(mm(h))
                        transform={ "rotate(" (mm(-s.angle_deg)) " " (mm(x)) " " (mm(y)) ")" }
                        fill="#56B4E9" fill-opacity=(if s.laid { mm(0.15 + 0.85 * worth) } else { "0".to_owned() })
                        stroke="#333" stroke-width="0.25" stroke-dasharray=[(!s.laid).then_some("1 1")] {}
                }
                // A sliver has no room.
                @if let Some([x, y]) = middle(s, outline).filter(|_| s.area_m2 > s.sheet_m2 / 3.0) {
                    @let [x, y] = ground.paper(x, y);
                    text x=(mm(x)) y=(mm(y + 1.4)) font-size=(mm((h * 0.6).clamp(1.5, 4.0)))
                        text-anchor="middle" stroke="white" stroke-width="0.6" paint-order="stroke" { (s.strip) }
                }
            }
        }
    };
    let words = told(cover);
    let key = html! {
        text x=(mm(MARGIN)) y=(mm(ground.key())) font-size="3.6" {
            "Numbers: the best strip first. Deeper: more larvae per square metre of sheet."
        }
        text x=(mm(MARGIN)) y=(mm(ground.key() + 5.0)) font-size="3.6" {
            "Broken edge, no shade: beyond the sheet there is."
        }
    };
    ground.page(
        "Strips that reach most larvae",
        &words,
        Some(outline),
        &inner,
        &key,
    )
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
