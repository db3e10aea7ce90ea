//! The observation window: a polygon, with holes, and what can be seen of it from a point.

use crate::Error;
use crate::random::Generator;
use crate::spatial::{Place, distance};

/// A polygon with holes, metres.
#[derive(Debug, Clone, PartialEq)]
pub struct Window {
    /// Sides, the inside on their left.
    pub(super) sides: Vec<(Place, Place)>,
    low: Place,
    high: Place,
    area: f64,
}

impl Window {
    /// A rectangle from its south-western to its north-eastern corner.
    ///
    /// # Errors
    /// Corners that are not finite or not in this order.
    pub fn rectangle(low: Place, high: Place) -> Result<Self, Error> {
        let ring = [low, (high.0, low.1), high, (low.0, high.1)];
        if low.0 >= high.0 || low.1 >= high.1 {
            return Err(unusable("corners that leave no rectangle".to_owned()));
        }
        Self::polygon(&ring, &[])
    }

    /// A polygon from its edge and holes; each ring in either sense, closed or not. That no ring crosses
    /// itself or another is the caller's promise.
    ///
    /// # Errors
    /// A corner that is not finite, a ring without area, or holes that leave nothing.
    pub fn polygon(edge: &[Place], holes: &[Vec<Place>]) -> Result<Self, Error> {
        let mut sides = Vec::new();
        let mut area = 0.0;
        for (k, ring) in std::iter::once(edge)
            .chain(holes.iter().map(Vec::as_slice))
            .enumerate()
        {
            if ring.iter().any(|c| !(c.0.is_finite() && c.1.is_finite())) {
                return Err(unusable(format!(
                    "ring {} with a corner that is no number",
                    k + 1
                )));
            }
            let mut own: Vec<(Place, Place)> = (0..ring.len())
                .map(|i| (ring[i], ring[(i + 1) % ring.len()]))
                .filter(|(a, b)| a != b)
                .collect();
            let signed = own
                .iter()
                .map(|&(a, b)| cross(from(edge[0], a), from(edge[0], b)) / 2.0)
                .sum::<f64>();
            if signed == 0.0 {
                return Err(unusable(format!("ring {} without area", k + 1)));
            }
            // The edge runs anticlockwise, holes clockwise: the inside lies on the left of both.
            if (signed > 0.0) != (k == 0) {
                for (a, b) in &mut own {
                    std::mem::swap(a, b);
                }
            }
            area += if k == 0 { signed.abs() } else { -signed.abs() };
            sides.extend(own);
        }
        if area <= 0.0 {
            return Err(unusable("holes that leave nothing".to_owned()));
        }
        let ends = |pick: fn(f64, f64) -> f64, start: f64| {
            edge.iter()
                .fold((start, start), |m, c| (pick(m.0, c.0), pick(m.1, c.1)))
        };
        Ok(Self {
            low: ends(f64::min, f64::INFINITY),
            high: ends(f64::max, f64::NEG_INFINITY),
            sides,
            area,
        })
    }

    /// Area less the holes, square metres.
    #[must_use]
    pub fn area(&self) -> f64 {
        self.area
    }

    /// Length of the edge and of all holes, metres.
    #[must_use]
    pub fn perimeter(&self) -> f64 {
        self.sides.iter().map(|&(a, b)| distance(a, b)).sum()
    }

    /// Shorter side of the box round the window, metres.
    #[must_use]
    pub fn breadth(&self) -> f64 {
        (self.high.0 - self.low.0).min(self.high.1 - self.low.1)
    }

    /// South-western corner of the box round the window.
    pub(super) fn corner(&self) -> Place {
        self.low
    }

    /// Whether a point lies inside; a point on a side does, to the rounding of its coordinates.
    #[must_use]
    pub fn contains(&self, p: Place) -> bool {
        self.encloses(p) || self.sides.iter().any(|&(a, b)| self.on_side(p, a, b))
    }

    /// Whether a ray from the point leaves the window once more than it enters it.
    fn encloses(&self, p: Place) -> bool {
        let mut inside = false;
        for &(a, b) in &self.sides {
            if (a.1 > p.1) != (b.1 > p.1) && p.0 < (b.0 - a.0) * (p.1 - a.1) / (b.1 - a.1) + a.0 {
                inside = !inside;
            }
        }
        inside
    }

    fn on_side(&self, p: Place, a: Place, b: Place) -> bool {
        let length = distance(a, b);
        let along = dot(from(a, p), from(a, b)) / length;
        let off = cross(from(a, b), from(a, p)) / length;
        // A billionth of the breadth: coordinates carry 15 digits, and no tape reads as fine.
        let rounding = self.breadth() * 1e-9;
        off.abs() <= rounding && along >= -rounding && along <= length + rounding
    }

    /// A point at random, every square metre alike.
    pub(super) fn random_point(&self, generator: &mut Generator) -> Place {
        loop {
            let at = |low: f64, high: f64, share: f64| (high - low).mul_add(share, low);
            let p = (
                at(self.low.0, self.high.0, generator.unit()),
                at(self.low.1, self.high.1, generator.unit()),
            );
            if self.encloses(p) {
                return p;
            }
        }
    }
}

/// What a point sees of the sides, ready to say how much of any circle round it lies inside.
///
/// A ray meets the window beyond distance r as often leaving as entering, and once more leaving when it
/// is inside at r. So the share of the circle inside is the angle, with its sign, under which the parts
/// of the sides beyond r are seen, over a full turn. This is exact for any polygon with holes.
#[derive(Debug)]
pub(super) struct View {
    /// Angle under which all sides are seen.
    whole: f64,
    /// Sides, the nearest first.
    sides: Vec<Seen>,
}

#[derive(Debug)]
struct Seen {
    nearest: f64,
    /// Distance of its line, positive where the point is on its left.
    off: f64,
    /// Where it starts and ends along its line, from the foot of the perpendicular.
    ends: [f64; 2],
    /// Directions in which its ends are seen, from that foot.
    angles: [f64; 2],
}

impl View {
    /// Looks round from `p` as far as `reach`.
    pub(super) fn new(window: &Window, p: Place, reach: f64) -> Self {
        let mut sides = Vec::new();
        // A point strictly inside sees the sides under a full turn; on a side or a corner it sees less.
        let mut end_on = !window.encloses(p);
        for &(a, b) in &window.sides {
            let along = from(a, b);
            let length = dot(along, along).sqrt();
            let start = dot(from(p, a), along) / length;
            let ends = [start, start + length];
            let off = cross(along, from(a, p)) / length;
            end_on |= off == 0.0;
            let aside = (-ends[1]).max(ends[0]).max(0.0);
            let nearest = off * off + aside * aside;
            if nearest < reach * reach && off != 0.0 {
                let angles = ends.map(|end| (end / off).atan());
                sides.push(Seen {
                    nearest: nearest.sqrt(),
                    off,
                    ends,
                    angles,
                });
            }
        }
        sides.sort_by(|a, b| a.nearest.total_cmp(&b.nearest));
        let whole = if end_on {
            let angle = |&(a, b): &(Place, Place)| {
                let (a, b) = (from(p, a), from(p, b));
                match cross(a, b) {
                    0.0 => 0.0,
                    turn => turn.atan2(dot(a, b)),
                }
            };
            window.sides.iter().map(angle).sum::<f64>()
        } else {
            std::f64::consts::TAU
        };
        Self { whole, sides }
    }

    /// Share of the circle of radius `r` that lies inside.
    pub(super) fn share_inside(&self, r: f64) -> f64 {
        let within: f64 = self
            .sides
            .iter()
            .take_while(|s| s.nearest < r)
            .map(|s| s.angle(r))
            .sum();
        (self.whole - within) / std::f64::consts::TAU
    }
}

impl Seen {
    /// Angle, with its sign, under which the part within `r` is seen.
    fn angle(&self, r: f64) -> f64 {
        let half = (r * r - self.off * self.off).max(0.0).sqrt();
        let [start, end] = self.ends;
        // Towards the crossing of circle and line, and only where a side is cut there.
        let cut = || (half / self.off).atan();
        let from = if start < -half {
            -cut()
        } else {
            self.angles[0]
        };
        let to = if end > half { cut() } else { self.angles[1] };
        to - from
    }
}

pub(super) fn from(a: Place, b: Place) -> Place {
    (b.0 - a.0, b.1 - a.1)
}

pub(super) fn cross(a: Place, b: Place) -> f64 {
    a.0 * b.1 - a.1 * b.0
}

pub(super) fn dot(a: Place, b: Place) -> f64 {
    a.0 * b.0 + a.1 * b.1
}

fn unusable(found: String) -> Error {
    Error::new(
        "window",
        found,
        "an edge and holes with area are needed, in metres",
        "Correct the outline of the area that was searched.",
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A square of 4 with a square hole of 2 in its middle.
    fn frame() -> Window {
        let hole = vec![(1.0, 1.0), (3.0, 1.0), (3.0, 3.0), (1.0, 3.0)];
        Window::polygon(&[(0.0, 0.0), (4.0, 0.0), (4.0, 4.0), (0.0, 4.0)], &[hole]).unwrap()
    }

    fn share(p: Place, r: f64) -> f64 {
        View::new(&frame(), p, 10.0).share_inside(r)
    }

    #[test]
    fn area_and_sides_allow_for_the_hole() {
        assert_eq!(frame().area().to_bits(), 12.0_f64.to_bits());
        assert_eq!(frame().perimeter().to_bits(), 24.0_f64.to_bits());
        assert!(frame().contains((0.5, 0.5)) && !frame().contains((2.0, 2.0)));
        assert!(frame().contains((1.0, 2.0)) && frame().contains((4.0, 4.0)));
    }

    /// From the corner a quarter of every circle lies inside, less what the hole hides; from the middle of
    /// a side half of a small one.
    #[test]
    fn shares_of_circles_are_right_on_corners_and_sides() {
        let near = |a: f64, b: f64| assert!((a - b).abs() < 1e-14, "{a} is not {b}");
        near(share((0.0, 0.0), 1.0), 0.25);
        near(share((2.0, 0.0), 0.5), 0.5);
        near(share((0.5, 0.5), 0.4), 1.0);
        // Circle of radius 2 round the corner: inside the hole where both coordinates exceed 1, from 30 to
        // 60 degrees.
        near(share((0.0, 0.0), 2.0), 60.0 / 360.0);
    }

    /// Against 100,000 directions tried one by one.
    #[test]
    fn shares_agree_with_directions_tried_one_by_one() {
        let window = frame();
        for (p, r) in [((0.7, 0.4), 1.3_f64), ((3.6, 2.2), 2.5), ((0.2, 3.9), 3.1)] {
            let inside = (0..100_000)
                .filter(|&k| {
                    let angle = std::f64::consts::TAU * (f64::from(k) + 0.5) / 1e5;
                    window.contains((r.mul_add(angle.cos(), p.0), r.mul_add(angle.sin(), p.1)))
                })
                .count();
            // At most 12 crossings, each right to one direction.
            assert!((share(p, r) - inside as f64 / 1e5).abs() < 12.0 / 1e5);
        }
    }

    #[test]
    fn what_is_no_window_is_refused() {
        assert!(Window::rectangle((0.0, 0.0), (0.0, 1.0)).is_err());
        assert!(Window::rectangle((0.0, 0.0), (f64::NAN, 1.0)).is_err());
        assert!(Window::polygon(&[(0.0, 0.0), (1.0, 1.0), (2.0, 2.0)], &[]).is_err());
        assert!(Window::polygon(&[], &[]).is_err());
    }
}
