//! The base line: a string between two marks, with all plots on one side of it.

use super::{EdgePlace, apart, centimetres};
use crate::area::Outline;

/// A string from mark P to mark Q; the plots lie to its left for whoever walks from P to Q.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct BaseLine {
    /// The mark at its left end, as seen looking towards the plots.
    pub(super) p: [f64; 2],
    /// The mark at its right end.
    pub(super) q: [f64; 2],
}

/// The box round all corners, its sides along the plots' own, as seen from one of its four sides.
#[derive(Debug, Clone, Copy)]
pub(super) struct Side {
    /// Direction from P to Q, as a unit.
    along: [f64; 2],
    /// Least distance along that direction, and least distance to its left.
    low: [f64; 2],
    /// Length of the side, metres.
    pub(super) width_m: f64,
    /// How far the box reaches from it, metres.
    pub(super) depth_m: f64,
}

impl Side {
    /// The four sides of the box round `corners`, plots lying in the direction `angle_deg`.
    pub(super) fn all(corners: &[[f64; 2]], angle_deg: f64) -> [Self; 4] {
        [0.0, 90.0, 180.0, 270.0].map(|turn| {
            let (sin, cos) = unit(angle_deg + turn);
            let along = [cos, sin];
            let (mut low, mut high) = ([f64::INFINITY; 2], [f64::NEG_INFINITY; 2]);
            for &at in corners {
                for (axis, reached) in [dot(at, along), dot(at, left_of(along))]
                    .into_iter()
                    .enumerate()
                {
                    low[axis] = low[axis].min(reached);
                    high[axis] = high[axis].max(reached);
                }
            }
            Self {
                along,
                low,
                width_m: high[0] - low[0],
                depth_m: high[1] - low[1],
            }
        })
    }

    /// A base line of a length along this side, its middle before the side's own, `gap_m` from the nearest corner. Its
    /// marks lie at whole centimetres of the outline's axes.
    pub(super) fn base_line(&self, length_m: f64, gap_m: f64) -> BaseLine {
        let middle = self.low[0] + self.width_m / 2.0;
        let back = self.low[1] - gap_m;
        let left = left_of(self.along);
        let mark = |reached: f64| {
            [0, 1].map(|axis| centimetres(reached * self.along[axis] + back * left[axis]))
        };
        BaseLine {
            p: mark(middle - length_m / 2.0),
            q: mark(middle + length_m / 2.0),
        }
    }
}

impl BaseLine {
    /// Distance between the marks.
    pub(super) fn length(&self) -> f64 {
        apart(self.p, self.q)
    }

    fn along(&self) -> [f64; 2] {
        let length = self.length();
        [0, 1].map(|axis| (self.q[axis] - self.p[axis]) / length)
    }

    /// A place as seen from P: along the line, and to its left.
    pub(super) fn seen(&self, at: [f64; 2]) -> [f64; 2] {
        let from = [at[0] - self.p[0], at[1] - self.p[1]];
        let along = self.along();
        [dot(from, along), dot(from, left_of(along))]
    }

    /// Four corners that run anticlockwise, from the near left one: the nearest to the line, the left one of two as near.
    pub(super) fn turned(&self, corners: &[[f64; 2]; 4]) -> [[f64; 2]; 4] {
        let seen = corners.map(|at| self.seen(at));
        let nearest = seen.iter().map(|s| s[1]).fold(f64::INFINITY, f64::min);
        // Marks at whole centimetres turn the line a little against the plots; a tenth of a plot's least side is far more.
        let near = |i: &usize| seen[*i][1] < nearest + 0.01;
        let first = (0..4)
            .filter(near)
            .min_by(|a, b| seen[*a][0].total_cmp(&seen[*b][0]));
        let mut order = *corners;
        order.rotate_left(first.unwrap_or(0));
        order
    }

    /// Places of the green's edge by which the line is found again.
    pub(super) fn edge(&self, outline: &Outline) -> Vec<EdgePlace> {
        let corners = outline.ground.exterior().coords();
        let seen: Vec<[f64; 2]> = corners.map(|c| self.seen([c.x, c.y])).collect();
        let least = |by: &dyn Fn(&[f64; 2]) -> f64| {
            seen.iter().min_by(|a, b| by(a).total_cmp(&by(b))).copied()
        };
        let found = [
            ("nearest", least(&|s| s[1])),
            ("leftmost", least(&|s| s[0])),
            ("rightmost", least(&|s| -s[0])),
        ];
        let place = |(which, at): (&'static str, Option<[f64; 2]>)| {
            at.map(|[along, offset]| EdgePlace {
                which,
                along_m: centimetres(along),
                offset_m: centimetres(offset),
            })
        };
        found.into_iter().filter_map(place).collect()
    }
}

/// Sine and cosine, exact for quarter turns.
fn unit(angle_deg: f64) -> (f64, f64) {
    match angle_deg.rem_euclid(360.0) {
        0.0 => (0.0, 1.0),
        90.0 => (1.0, 0.0),
        180.0 => (0.0, -1.0),
        270.0 => (-1.0, 0.0),
        other => other.to_radians().sin_cos(),
    }
}

fn left_of([x, y]: [f64; 2]) -> [f64; 2] {
    [-y, x]
}

fn dot(a: [f64; 2], b: [f64; 2]) -> f64 {
    a[0].mul_add(b[0], a[1] * b[1])
}
