//! The string between two marks.

use maud::{Markup, html};

use crate::drawing::label::{CAPITAL, Label};
use crate::drawing::palette::INK;
use crate::drawing::paper::mm;
use crate::drawing::plane::Plane;

/// Half the side of a mark, millimetres.
const HALF: f64 = 1.3;
/// Size of its letter, millimetres.
const SIZE: f64 = 5.0;

/// Marks P and Q as squares with their letters beyond the ends of the string.
pub(super) fn string(marks: [[f64; 2]; 2], plane: &Plane) -> Markup {
    let [p, q] = marks.map(|at| plane.paper(at[0], at[1]));
    let long = (q[0] - p[0]).hypot(q[1] - p[1]).max(1e-9);
    let along = [(q[0] - p[0]) / long, (q[1] - p[1]) / long];
    let letter = |text: &str, at: [f64; 2], way: f64| {
        let off = way * (HALF + 0.8 * SIZE);
        let place = [
            along[0].mul_add(off, at[0]),
            along[1].mul_add(off, at[1]) + CAPITAL * SIZE / 2.0,
        ];
        Label::new(text, place, SIZE)
            .bold()
            .middle()
            .haloed()
            .drawn()
    };
    html! {
        path d={ "M" (mm(p[0])) " " (mm(p[1])) "L" (mm(q[0])) " " (mm(q[1])) } fill="none" stroke=(INK) stroke-width="0.7" {
            title { "String from P to Q" }
        }
        @for [x, y] in [p, q] {
            rect x=(mm(x - HALF)) y=(mm(y - HALF)) width=(mm(2.0 * HALF)) height=(mm(2.0 * HALF)) fill=(INK) {}
        }
        (letter("P", p, -1.0))
        (letter("Q", q, 1.0))
    }
}
