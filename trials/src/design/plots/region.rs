//! The green turned so that plots lie along its axes, and the free stretches of a row.

use geo::Polygon;

use super::chain::{Band, Chain};
use crate::area::{Outline, Zone};

/// Rounding allowance in metres: a millionth of a millimetre lets a plot touch the edge exactly.
const TOUCH: f64 = 1e-9;
/// Marks of the rings that bound the green with its holes, and the zone; earlier zones take the bits above.
const GREEN: u32 = 1;
const ZONE: u32 = 2;

/// Ground on which plots may lie, in axes turned by an angle.
#[derive(Debug, Clone)]
pub(super) struct Region {
    chains: Vec<Chain>,
    /// Marks of the ground that a plot must lie on; it may lie on no other.
    free: u32,
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
    /// The outline, or the part of it inside `zone` and no earlier zone that claims the same ground, in axes turned
    /// by `angle_deg`.
    pub(super) fn new(outline: &Outline, zone: Option<&Zone>, angle_deg: f64) -> Self {
        let (sin, cos) = angle_deg.to_radians().sin_cos();
        let mut region = Self {
            chains: Vec::new(),
            free: GREEN,
            sin,
            cos,
            low: [f64::INFINITY; 2],
            high: [f64::NEG_INFINITY; 2],
            middle: [0.0; 2],
        };
        let mut corners = region.add(&outline.ground, GREEN);
        if let Some(zone) = zone {
            region.free |= ZONE;
            corners = region.add(&zone.ground, ZONE);
            let earlier = zone.before.iter().filter_map(|&at| outline.zones.get(at));
            for (other, bit) in earlier.zip(2..u32::BITS) {
                region.add(&other.ground, 1 << bit);
            }
        }
        for corner in corners {
            region.low = [0, 1].map(|axis| region.low[axis].min(corner[axis]));
            region.high = [0, 1].map(|axis| region.high[axis].max(corner[axis]));
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

    /// Adds the rings of some ground; gives its corners in turned axes.
    fn add(&mut self, ground: &Polygon<f64>, mark: u32) -> Vec<[f64; 2]> {
        let mut all = Vec::new();
        for ring in std::iter::once(ground.exterior()).chain(ground.interiors()) {
            let corners: Vec<[f64; 2]> = ring.coords().map(|c| self.turned([c.x, c.y])).collect();
            all.extend_from_slice(&corners);
            self.chains.push(Chain::new(corners, mark));
        }
        all
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
        let band = Band {
            bottom: south + TOUCH,
            top: north - TOUCH,
            middle: f64::midpoint(south, north),
        };
        let mut passes = Vec::new();
        for chain in &self.chains {
            chain.passes(band, &mut passes);
        }
        passes.sort_by(|p, q| p.west.total_cmp(&q.west));
        let mut gaps = Vec::new();
        let (mut reached, mut ground) = (f64::NEG_INFINITY, 0);
        for pass in passes {
            if reached.is_finite() && pass.west > reached && ground == self.free {
                gaps.push((reached, pass.west));
            }
            reached = reached.max(pass.east);
            ground ^= pass.crossed;
        }
        gaps
    }
}
