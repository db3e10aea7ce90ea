//! Maps of the predicted surface, in shades.

use maud::html;

use super::PictureFile;
use super::ground::{Ground, SAMPLE, Told};
use super::map::named;
use crate::area::Outline;
use crate::drawing::key::Entry;
use crate::drawing::palette::{Colour, INK, SHADES};
use crate::drawing::paper::mm;
use crate::drawing::{Cell, FigureData};
use crate::mapping::surface::Surface;

/// Expected larvae over the green, per core or per place.
pub(super) fn surface(surface: &Surface, ground: &Ground<'_>, per: &str) -> Option<PictureFile> {
    let told = |data| Told {
        name: "surface",
        title: format!("Larvae {per}, predicted"),
        description: String::new(),
        key: Vec::new(),
        sample: SAMPLE,
        foot: vec![format!("Larvae {per}.")],
        data,
    };
    raster(ground, told, per, &|x, y| surface.at((x, y)).mean)
}

/// How far out the surface may be.
pub(super) fn uncertainty(surface: &Surface, ground: &Ground<'_>) -> Option<PictureFile> {
    const UNIT: &str = "times too high or low (95 %)";
    let told = |data| Told {
        name: "surface-uncertainty",
        title: "How far out the prediction may be".to_owned(),
        description: String::new(),
        key: Vec::new(),
        sample: SAMPLE,
        foot: vec![format!("The prediction may be so many {UNIT}.")],
        data,
    };
    raster(ground, told, UNIT, &|x, y| {
        (1.96 * surface.at((x, y)).log_se).exp()
    })
}

/// Cells across the longer side of the ground.
const CELLS: u32 = 60;

fn raster(
    ground: &Ground<'_>,
    told: impl FnOnce(FigureData) -> Told,
    unit: &str,
    value: &dyn Fn(f64, f64) -> f64,
) -> Option<PictureFile> {
    let outline = ground.outline?;
    let [from, to] = ground.corners;
    let side = (to[0] - from[0]).max(to[1] - from[1]) / f64::from(CELLS);
    let cells = cells(outline, [from, to], side, value);
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
    let mut data = FigureData::new(&["x_m", "y_m", unit]);
    data.rows = cells
        .iter()
        .map(|&(x, y, v)| [x, y, v].map(Cell::from).to_vec())
        .collect();
    let mut told = told(data);
    told.key = steps(low, high);
    told.description =
        format!("Map of the green; values run from {low:.2} to {high:.2} {unit}. North is up.");
    Some(ground.page(told, |plane, clip| {
        let paper = side * plane.scale;
        html! {
            g clip-path={ "url(#" (clip) ")" } shape-rendering="crispEdges" {
                @for (x, y, v) in &cells {
                    @let [px, py] = plane.paper(*x, *y);
                    rect x=(mm(px - paper / 2.0)) y=(mm(py - paper / 2.0)) width=(mm(paper + 0.02))
                        height=(mm(paper + 0.02)) fill=(shade(*v)) {}
                }
            }
        }
    }))
}

/// Middle and value of every cell that reaches the green.
fn cells(
    outline: &Outline,
    [from, to]: [[f64; 2]; 2],
    side: f64,
    value: &dyn Fn(f64, f64) -> f64,
) -> Vec<(f64, f64, f64)> {
    let mut cells = Vec::new();
    for k in 0..CELLS * CELLS {
        let at = [f64::from(k % CELLS), f64::from(k / CELLS)];
        let [x, y] = [0, 1].map(|axis| (at[axis] + 0.5).mul_add(side, from[axis]));
        let reached = x - side < to[0] && y - side < to[1];
        if reached && outline.distance_to_edge_m(x, y) < side || outline.contains(x, y) {
            cells.push((x, y, value(x, y)));
        }
    }
    cells
}

/// The shades from few to many with where each begins, written so exactly that no two read the same; one shade
/// where all values are one.
fn steps(low: f64, high: f64) -> Vec<Entry> {
    let starts = (0..SHADES.len()).map(|k| low + (high - low) * k as f64 / SHADES.len() as f64);
    let starts: Vec<f64> = starts.collect();
    let text = |decimals: usize| -> Vec<String> {
        starts.iter().map(|s| format!("{s:.decimals$}")).collect()
    };
    let differ = |texts: &[String]| texts.windows(2).all(|pair| pair[0] != pair[1]);
    // Values that nine decimals cannot keep apart are one.
    let texts = (1..=9)
        .map(text)
        .find(|t| differ(t))
        .unwrap_or_else(|| vec![format!("{low:.1}")]);
    let sample = |fill: Colour| {
        html! { rect x="1" y="-2" width="6" height="4" fill=(fill) stroke=(INK) stroke-width="0.2" {} }
    };
    texts
        .into_iter()
        .zip(SHADES)
        .map(|(text, fill)| named(sample(fill), format!("from {text}")))
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_two_shades_read_the_same() {
        for (low, high) in [(2.1, 2.9), (0.0, 0.01), (2.0, 2.001), (5.0, 500.0)] {
            let mut names: Vec<String> = steps(low, high).into_iter().map(|e| e.name).collect();
            assert_eq!(names.len(), SHADES.len());
            names.dedup();
            assert_eq!(names.len(), SHADES.len(), "{names:?}");
        }
        assert_eq!(steps(1.0, 1.0).len(), 1);
        assert_eq!(steps(1.0, 1.0 + 1e-12).len(), 1);
    }
}
