//! Rings of simple shapes.

use std::f64::consts::TAU;

/// Corners of a rectangle with its south-west corner at the origin, anticlockwise.
#[must_use]
pub fn rectangle(east_m: f64, north_m: f64) -> Vec<[f64; 2]> {
    vec![[0.0, 0.0], [east_m, 0.0], [east_m, north_m], [0.0, north_m]]
}

/// Corners of an ellipse by its two diameters, anticlockwise, its box touching both axes.
///
/// The polygon has `corners` corners on the ellipse; its area is short of the ellipse's by the
/// factor sin(2 pi / n) / (2 pi / n), 0.03 % for 144 corners.
#[must_use]
pub fn ellipse(east_m: f64, north_m: f64, corners: usize) -> Vec<[f64; 2]> {
    (0..corners)
        .map(|i| {
            let t = TAU * i as f64 / corners as f64;
            [
                east_m / 2.0 * (1.0 + t.cos()),
                north_m / 2.0 * (1.0 + t.sin()),
            ]
        })
        .collect()
}

/// Corners of a 32-gon drawn round a circle, so that the whole circle lies inside it.
#[must_use]
pub fn circle(x_m: f64, y_m: f64, radius_m: f64) -> Vec<[f64; 2]> {
    const CORNERS: usize = 32;
    let step = TAU / CORNERS as f64;
    let reach = radius_m / (step / 2.0).cos();
    (0..CORNERS)
        .map(|i| {
            let t = step * i as f64;
            [x_m + reach * t.cos(), y_m + reach * t.sin()]
        })
        .collect()
}
