//! What names between the axes should not cover.

use super::Chart;
use super::layer::{Layer, Note};
use super::layout::Layout;

/// From one point of a line to the next, pixels: less than lettering is high.
const STEP: f64 = 4.0;

/// Points along every line and at every mark.
pub(super) fn obstacles(chart: &Chart, layout: &Layout) -> Vec<[f64; 2]> {
    let at = |p: &(f64, f64)| [layout.across.at(p.0), layout.up.at(p.1)];
    let path = |points: &[(f64, f64)]| -> Vec<[f64; 2]> {
        let pairs = points.windows(2);
        pairs.flat_map(|p| along(at(&p[0]), at(&p[1]))).collect()
    };
    let ((left, right), (foot, top)) = (layout.across.places, layout.up.places);
    let layers = chart.layers.iter().flat_map(|layer| match layer {
        Layer::Curve(curve) => path(&curve.points),
        Layer::Line(points, _) => path(points),
        Layer::Marks(points, ..) => points.iter().map(at).collect(),
        Layer::Area(..) | Layer::Bars(_) => Vec::new(),
    });
    let notes = chart.notes.iter().flat_map(|note| match note {
        Note::Level(y, _) => along([left, layout.up.at(*y)], [right, layout.up.at(*y)]),
        Note::Upright(x, ..) => along([layout.across.at(*x), top], [layout.across.at(*x), foot]),
        Note::Ring(..) | Note::Words(..) | Note::Line(..) => Vec::new(),
    });
    layers.chain(notes).collect()
}

/// Points from one place to another, both included.
fn along(from: [f64; 2], to: [f64; 2]) -> Vec<[f64; 2]> {
    let long = (to[0] - from[0]).hypot(to[1] - from[1]);
    // A paper has a few hundred steps at most.
    let steps = (1..2000_u32)
        .find(|n| f64::from(*n) * STEP >= long)
        .unwrap_or(2000);
    let place = |n: u32| {
        let share = f64::from(n) / f64::from(steps);
        [0, 1].map(|i| (to[i] - from[i]).mul_add(share, from[i]))
    };
    (0..=steps).map(place).collect()
}
