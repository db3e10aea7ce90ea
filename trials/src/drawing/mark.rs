//! Marks that differ without colour.

use maud::{Markup, html};

use super::palette::{Colour, INK, WHITE, series};
use super::paper::mm;

/// How many marks there are before their shapes repeat, in other colours.
const KINDS: usize = 12;

/// A mark: its shape, what fills it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Mark {
    shape: usize,
    pub(crate) fill: Colour,
}

impl Mark {
    /// The ring, for what the others are compared with.
    pub(crate) const RING: Self = Self {
        shape: 0,
        fill: WHITE,
    };

    /// The mark of the i-th of several things: filled, the last two open.
    pub(crate) fn series(i: usize) -> Self {
        let shape = 1 + i % (KINDS - 1);
        Self {
            shape,
            fill: if shape > 9 { WHITE } else { series(i) },
        }
    }

    /// The disc in a colour.
    pub(crate) const fn disc(fill: Colour) -> Self {
        Self { shape: 0, fill }
    }

    /// The diamond in a colour.
    pub(crate) const fn diamond(fill: Colour) -> Self {
        Self { shape: 3, fill }
    }

    /// Corners about the middle for a mark of radius 1, y downwards; none for the round one.
    pub(super) fn corners(self) -> Option<Vec<[f64; 2]>> {
        let star = |points: u32, inner: f64, turn: f64| {
            (0..2 * points)
                .map(|k| {
                    let r = if k % 2 == 0 { 1.2 } else { inner };
                    let (sin, cos) =
                        (f64::from(k) * std::f64::consts::PI / f64::from(points) + turn).sin_cos();
                    [r * sin, -r * cos]
                })
                .collect()
        };
        let cross = |turn: f64| {
            let arm = [
                [-0.4, -1.1],
                [0.4, -1.1],
                [0.4, -0.4],
                [1.1, -0.4],
                [1.1, 0.4],
                [0.4, 0.4],
                [0.4, 1.1],
                [-0.4, 1.1],
                [-0.4, 0.4],
                [-1.1, 0.4],
                [-1.1, -0.4],
                [-0.4, -0.4],
            ];
            let (sin, cos) = turn.sin_cos();
            arm.map(|[x, y]: [f64; 2]| [x * cos - y * sin, x * sin + y * cos])
                .to_vec()
        };
        let square = || vec![[-0.95, -0.95], [0.95, -0.95], [0.95, 0.95], [-0.95, 0.95]];
        let triangle = |up: f64| vec![[0.0, -1.15 * up], [1.15, up], [-1.15, up]];
        match self.shape {
            0 => None,
            1 | 10 => Some(square()),
            2 | 11 => Some(triangle(1.0)),
            3 => Some(vec![[0.0, -1.3], [1.3, 0.0], [0.0, 1.3], [-1.3, 0.0]]),
            4 => Some(cross(0.0)),
            5 => Some(triangle(-1.0)),
            6 => Some(star(5, 0.5, 0.0)),
            7 => Some(cross(std::f64::consts::FRAC_PI_4)),
            8 => Some(vec![[-1.0, -1.1], [1.0, -1.1], [-1.0, 1.1], [1.0, 1.1]]),
            _ => Some(star(3, 0.45, std::f64::consts::PI)),
        }
    }

    /// The mark on paper about a place, as wide as twice the radius.
    pub(crate) fn drawn(self, [x, y]: [f64; 2], radius: f64) -> Markup {
        let edge = mm((radius * 0.2).max(0.1));
        match self.corners() {
            None => html! {
                circle cx=(mm(x)) cy=(mm(y)) r=(mm(radius)) fill=(self.fill) stroke=(INK) stroke-width=(edge) {}
            },
            Some(corners) => {
                let places: Vec<String> = corners
                    .iter()
                    .map(|c| {
                        format!(
                            "{} {}",
                            mm(c[0].mul_add(radius, x)),
                            mm(c[1].mul_add(radius, y))
                        )
                    })
                    .collect();
                html! {
                    path d={ "M" (places.join("L")) "Z" } fill=(self.fill) stroke=(INK) stroke-width=(edge)
                        stroke-linejoin="round" {}
                }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn twelve_marks_differ_without_their_colour() {
        let mut all: Vec<Mark> = (0..KINDS - 1).map(Mark::series).collect();
        all.push(Mark::RING);
        let look = |m: &Mark| (m.corners(), m.fill == WHITE);
        for (i, a) in all.iter().enumerate() {
            assert!(all[..i].iter().all(|b| look(a) != look(b)), "{i}");
        }
    }
}
