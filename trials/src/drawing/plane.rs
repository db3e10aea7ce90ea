//! Ground on paper: from metres, y upwards, to the picture's unit, y downwards.

use geo::LineString;
use maud::{Markup, html};

use super::label::{Anchor, Label};
use super::paper::mm;
use crate::text::rounding::round_down;

/// A scale, and where the ground lies.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Plane {
    /// Units on paper for a metre of ground.
    pub(crate) scale: f64,
    /// South-west corner of the ground, metres.
    pub(crate) origin: [f64; 2],
    /// Where that corner lies on paper.
    pub(crate) corner: [f64; 2],
}

impl Plane {
    /// Paper place of a ground place.
    pub(crate) fn paper(&self, x: f64, y: f64) -> [f64; 2] {
        [
            (x - self.origin[0]).mul_add(self.scale, self.corner[0]),
            (y - self.origin[1]).mul_add(-self.scale, self.corner[1]),
        ]
    }

    /// Path of a closed ring.
    pub(crate) fn ring(&self, ring: &LineString<f64>) -> String {
        self.path(ring.coords().map(|c| [c.x, c.y]))
    }

    /// Path of a rectangle by centre, sides and direction of its length.
    pub(crate) fn rectangle(&self, centre: [f64; 2], sides: [f64; 2], angle_deg: f64) -> String {
        let (sin, cos) = angle_deg.to_radians().sin_cos();
        let corners = [[-0.5, -0.5], [0.5, -0.5], [0.5, 0.5], [-0.5, 0.5]].map(|[u, v]| {
            let (along, across) = (u * sides[0], v * sides[1]);
            [
                along.mul_add(cos, -across * sin) + centre[0],
                along.mul_add(sin, across * cos) + centre[1],
            ]
        });
        self.path(corners.into_iter())
    }

    fn path(&self, corners: impl Iterator<Item = [f64; 2]>) -> String {
        let places: Vec<String> = corners
            .map(|[x, y]| {
                let [x, y] = self.paper(x, y);
                format!("{} {}", mm(x), mm(y))
            })
            .collect();
        format!("M{}Z", places.join("L"))
    }

    /// A plain bar of a round length, at most `longest` long on paper, with words below.
    pub(crate) fn bar(&self, at: [f64; 2], longest: f64, size: f64, more: &str) -> Markup {
        let metres = round_down(longest / self.scale);
        let words = format!("{metres} m{more}");
        html! {
            rect x=(mm(at[0])) y=(mm(at[1])) width=(mm(metres * self.scale)) height="1.2" fill="black" {}
            (Label::new(words, [at[0], at[1] + 1.4 + size], size).drawn())
        }
    }
}

/// An arrow to the north, 18 units high, by its tip.
pub(crate) fn north([x, y]: [f64; 2]) -> Markup {
    html! {
        g transform={ "translate(" (mm(x)) " " (mm(y)) ")" } {
            title { "North" }
            path d="M0 0L3.2 12L0 9.6L-3.2 12Z" fill="black" {}
            (Label::new("N", [0.0, 17.0], 5.0).bold().middle().drawn())
        }
    }
}

/// A bar of exactly 50 units with its length on the ground, by its left end; the words beside it say what it is for.
pub(crate) fn scale_bar([x, y]: [f64; 2], units_per_m: f64, words: &str) -> Markup {
    let name = |text: String, x: f64, y: f64, anchor| {
        Label::new(text, [x, y], 3.6).anchored(anchor).drawn()
    };
    html! {
        g {
            title { "Scale bar" }
            @for i in 0..5 {
                rect x=(mm(x + 10.0 * f64::from(i))) y=(mm(y - 2.0)) width="10" height="2"
                    fill=(if i % 2 == 0 { "black" } else { "white" }) stroke="black" stroke-width="0.2" {}
            }
            (name("0".to_owned(), x, y - 3.2, Anchor::Start))
            (name(format!("{} m", mm(50.0 / units_per_m)), x + 50.0, y - 3.2, Anchor::Middle))
            (name(words.to_owned(), x + 60.0, y, Anchor::Start))
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn north_is_up_and_metres_are_to_scale() {
        let plane = Plane {
            scale: 5.0,
            origin: [10.0, 20.0],
            corner: [0.0, 100.0],
        };
        assert_eq!(plane.paper(10.0, 20.0), [0.0, 100.0]);
        assert_eq!(plane.paper(12.0, 24.0), [10.0, 80.0]);
        assert_eq!(
            plane.rectangle([11.0, 21.0], [2.0, 2.0], 0.0),
            "M0 100L10 100L10 90L0 90Z"
        );
    }
}
