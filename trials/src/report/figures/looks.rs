//! How a treatment's marks look: the colour it has on the map, and a shape of its own.

use plotters::style::RGBColor;

use super::canvas::{Canvas, Fault};

/// Okabe and Ito's colours in the order in which the map gives them to the methods.
const COLOURS: [RGBColor; 7] = [
    RGBColor(0, 114, 178),
    RGBColor(213, 94, 0),
    RGBColor(0, 158, 115),
    RGBColor(204, 121, 167),
    RGBColor(230, 159, 0),
    RGBColor(86, 180, 233),
    RGBColor(0, 0, 0),
];

/// Colour of a treatment, the control (0) being white.
pub(super) fn colour(treatment: usize) -> RGBColor {
    match treatment {
        0 => RGBColor(255, 255, 255),
        n => COLOURS[(n - 1) % COLOURS.len()],
    }
}

/// Draws the mark of a treatment: a ring for the control, then square, triangle, diamond, disc.
pub(super) fn mark(
    canvas: &Canvas<'_>,
    treatment: usize,
    (x, y): (i32, i32),
    r: i32,
) -> Result<(), Fault> {
    let fill = colour(treatment);
    if treatment == 0 || treatment.is_multiple_of(4) {
        return canvas.circle((x, y), r, fill);
    }
    let corners = match treatment % 4 {
        1 => vec![
            (x - r, y - r),
            (x + r, y - r),
            (x + r, y + r),
            (x - r, y + r),
        ],
        2 => vec![(x, y - r - 1), (x + r + 1, y + r), (x - r - 1, y + r)],
        _ => vec![
            (x, y - r - 2),
            (x + r + 2, y),
            (x, y + r + 2),
            (x - r - 2, y),
        ],
    };
    canvas.polygon(&corners, fill)
}
