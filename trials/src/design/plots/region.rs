//! The green turned so that plots lie along its axes, and the free stretches of a row.

use geo::Polygon;

use crate::area::{Outline, Zone};

/// Rounding allowance in metres: a millionth of a millimetre lets a plot touch the edge exactly.
const TOUCH: f64 = 1e-9;

/// An edge with its ring: rings of the ground (edge and holes) and of the zone count crossings apart.
#[derive(Debug, Clone, Copy)]
struct Edge {
    from: [f64; 2],
    to: [f64; 2],
    zone: bool,
}

/// Ground on which plots may lie, in axes turned by an angle.
#[derive(Debug, Clone)]
pub(super) struct Region {
    edges: Vec<Edge>,
    zoned: bool,
    sin: f64,
    cos: f64,
    /// South-west corner of the box round the ground, turned axes.
    pub(super) low: [f64; 2],
    /// North-east corner.
    pub(super) high: [f64; 2],
    /// Middle of the free ground, turned axes.
    pub(super) middle: [f64; 2],
}

impl Region {
    /// The outline, or the part of it inside `zone`, in axes turned by `angle_deg`.
    pub(super) fn new(outline: &Outline, zone: Option<&Zone>, angle_deg: f64) -> Self {
        let (sin, cos) = angle_deg.to_radians().sin_cos();
        let mut region = Self {
            edges: Vec::new(),
            zoned: zone.is_some(),
            sin,
            cos,
            low: [f64::INFINITY; 2],
            high: [f64::NEG_INFINITY; 2],
            middle: [0.0; 2],
        };
        region.add(&outline.ground, false);
        if let Some(zone) = zone {
            region.add(&zone.ground, true);
        }
        for edge in region.edges.iter().filter(|e| e.zone == zone.is_some()) {
            for axis in 0..2 {
                region.low[axis] = region.low[axis].min(edge.from[axis]);
                region.high[axis] = region.high[axis].max(edge.from[axis]);
            }
        }
        region.middle = region.centre();
        region
    }

    /// Middle of the free ground from thin rows, each stretch weighed by its length; good to a
    /// hundredth of the ground's height, which is all that ranking needs.
    fn centre(&self) -> [f64; 2] {
        const ROWS: u32 = 64;
        let height = (self.high[1] - self.low[1]) / f64::from(ROWS);
        let mut sum = [0.0; 2];
        let mut weight = 0.0;
        for row in 0..ROWS {
            let south = f64::from(row).mul_add(height, self.low[1]);
            for (west, east) in self.free(south, south + height) {
                let length = east - west;
                sum[0] += length * f64::midpoint(west, east);
                sum[1] += length * (south + height / 2.0);
                weight += length;
            }
        }
        if weight > 0.0 {
            sum.map(|s| s / weight)
        } else {
            sum
        }
    }

    fn add(&mut self, ground: &Polygon<f64>, zone: bool) {
        for ring in std::iter::once(ground.exterior()).chain(ground.interiors()) {
            for line in ring.lines() {
                let edge = Edge {
                    from: self.turned([line.start.x, line.start.y]),
                    to: self.turned([line.end.x, line.end.y]),
                    zone,
                };
                self.edges.push(edge);
            }
        }
    }

    fn turned(&self, [x, y]: [f64; 2]) -> [f64; 2] {
        [
            x.mul_add(self.cos, y * self.sin),
            y.mul_add(self.cos, -x * self.sin),
        ]
    }

    /// From the turned axes back to the outline's own.
    pub(super) fn restored(&self, [x, y]: [f64; 2]) -> [f64; 2] {
        [
            x.mul_add(self.cos, -y * self.sin),
            x.mul_add(self.sin, y * self.cos),
        ]
    }

    /// Stretches `(west, east)` of the row between `south` and `north` that lie wholly on free
    /// ground over the row's whole height, west to east.
    pub(super) fn free(&self, south: f64, north: f64) -> Vec<(f64, f64)> {
        let (bottom, top, middle) = (south + TOUCH, north - TOUCH, f64::midpoint(south, north));
        let mut shadows = Vec::new();
        let mut ground = Vec::new();
        let mut zone = Vec::new();
        for edge in &self.edges {
            let (a, b) = if edge.from[1] <= edge.to[1] {
                (edge.from, edge.to)
            } else {
                (edge.to, edge.from)
            };
            if b[1] < bottom || a[1] > top {
                continue;
            }
            let at = |y: f64| {
                if b[1] > a[1] {
                    let share = ((y - a[1]) / (b[1] - a[1])).clamp(0.0, 1.0);
                    share.mul_add(b[0] - a[0], a[0])
                } else {
                    a[0]
                }
            };
            let ends = if b[1] > a[1] {
                [at(bottom), at(top)]
            } else {
                [a[0], b[0]]
            };
            shadows.push((ends[0].min(ends[1]), ends[0].max(ends[1])));
            if (a[1] <= middle) != (b[1] <= middle) {
                let crossed = if edge.zone { &mut zone } else { &mut ground };
                crossed.push(at(middle));
            }
        }
        shadows.sort_by(|p, q| p.0.total_cmp(&q.0));
        let inside = |x: f64| odd(&ground, x) && (!self.zoned || odd(&zone, x));
        let mut gaps = Vec::new();
        let mut reached = f64::NEG_INFINITY;
        for (west, east) in shadows {
            if reached.is_finite() && west > reached && inside(f64::midpoint(reached, west)) {
                gaps.push((reached, west));
            }
            reached = reached.max(east);
        }
        gaps
    }
}

/// Whether an odd number of crossings lies west of `x`: then `x` is inside.
fn odd(crossings: &[f64], x: f64) -> bool {
    crossings.iter().filter(|&&c| c < x).count() % 2 == 1
}
