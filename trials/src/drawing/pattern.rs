//! Fills that differ without colour.

use maud::{Markup, html};

use super::palette::{Colour, series};
use super::paper::mm;

/// How many fills there are before they repeat, finer.
const KINDS: usize = 11;

/// What is repeated over the ground.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Motif {
    /// Parallel lines at a slope in degrees, and how thick they are, as a share of the repeat.
    Lines(i16, f64),
    /// Lines both ways, turned by a slope.
    Grid(i16),
    /// Discs in rows.
    Dots,
    /// Rings in rows.
    Rings,
    /// Squares that touch at their corners.
    Checks,
    /// Triangles in rows.
    Triangles,
    /// A line that goes up and down.
    Zigzag,
    /// The colour itself.
    Solid,
}

/// The motif of the i-th fill: neighbours in this order are as unlike as can be.
fn motif(i: usize) -> Motif {
    match i % KINDS {
        0 => Motif::Lines(45, 0.3),
        1 => Motif::Dots,
        2 => Motif::Grid(0),
        3 => Motif::Lines(90, 0.3),
        4 => Motif::Zigzag,
        5 => Motif::Checks,
        6 => Motif::Lines(-45, 0.18),
        7 => Motif::Triangles,
        8 => Motif::Solid,
        9 => Motif::Grid(45),
        _ => Motif::Rings,
    }
}

/// How the i-th fill is referred to when its definition is called `id`.
pub(crate) fn fill(id: &str) -> String {
    format!("url(#{id})")
}

/// Definition of the i-th fill under the name `id`; `repeat` is the size of a repeat, in the picture's unit.
pub(crate) fn definition(id: &str, i: usize, repeat: f64) -> Markup {
    let size = repeat / (1 + i / KINDS) as f64;
    let motif = motif(i);
    let turn = match motif {
        Motif::Lines(turn, _) | Motif::Grid(turn) => turn,
        _ => 0,
    };
    html! {
        pattern id=(id) width=(mm(size)) height=(mm(size)) patternUnits="userSpaceOnUse"
            patternTransform={ "rotate(" (turn) ")" } {
            rect width=(mm(size)) height=(mm(size)) fill="white" {}
            (drawn(motif, series(i), size))
        }
    }
}

/// One repeat.
fn drawn(motif: Motif, ink: Colour, size: f64) -> Markup {
    let (s, half) = (mm(size), mm(size / 2.0));
    let stroke = |path: String, share: f64| {
        html! { path d=(path) fill="none" stroke=(ink) stroke-width=(mm(size * share)) {} }
    };
    match motif {
        Motif::Lines(_, share) => stroke(format!("M0 {half}H{s}"), share),
        Motif::Grid(_) => stroke(format!("M0 {half}H{s}M{half} 0V{s}"), 0.18),
        Motif::Dots => html! { circle cx=(half) cy=(half) r=(mm(size * 0.28)) fill=(ink) {} },
        Motif::Rings => html! {
            circle cx=(half) cy=(half) r=(mm(size * 0.32)) fill="none" stroke=(ink)
                stroke-width=(mm(size * 0.14)) {}
        },
        Motif::Checks => {
            html! { path d={ "M0 0H" (half) "V" (s) "H" (s) "V" (half) "H0Z" } fill=(ink) {} }
        }
        Motif::Triangles => html! {
            path d={ "M" (mm(size * 0.12)) " " (mm(size * 0.85)) "H" (mm(size * 0.88)) "L" (half) " " (mm(size * 0.15)) "Z" }
                fill=(ink) {}
        },
        Motif::Zigzag => stroke(
            format!("M0 {}L{half} {}L{s} {0}", mm(size * 0.8), mm(size * 0.2)),
            0.2,
        ),
        Motif::Solid => html! { rect width=(s) height=(s) fill=(ink) {} },
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Eleven fills beside plain white make twelve that differ in grey; later ones repeat them finer.
    #[test]
    fn eleven_fills_differ_without_their_colour() {
        let shape = |i: usize| {
            let text = definition("x", i, 2.4).into_string();
            text.replace(&series(i).to_string(), "black")
        };
        let mut seen: Vec<String> = (0..2 * KINDS).map(shape).collect();
        seen.sort_unstable();
        seen.dedup();
        assert_eq!(seen.len(), 2 * KINDS);
        for i in 0..KINDS {
            assert!((0..i).all(|j| motif(i) != motif(j)), "{i}");
        }
    }
}
