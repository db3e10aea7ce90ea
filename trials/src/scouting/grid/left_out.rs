//! Ground that a walk leaves out: further from every point than points lie apart.

use serde::Serialize;

use super::points::GridPoint;
use crate::area::{Clearance, Outline};

/// Squares across the longer side of the green at whose middles it is asked how far the next point is.
const SQUARES: u32 = 120;

/// Ground further from every point than the side of the square each point stands for.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct LeftOut {
    /// That side, metres.
    pub beyond_m: f64,
    /// Share of the ground that lies further off, from 0 to 1.
    pub share: f64,
    /// The place that lies furthest from every point, metres.
    pub x_m: f64,
    /// Its distance north, metres.
    pub y_m: f64,
    /// How far its nearest point is, metres.
    pub distance_m: f64,
    /// Zones in which no point lies.
    pub zones: Vec<String>,
}

impl LeftOut {
    /// What the walk leaves out, in a sentence; `None` where it comes everywhere.
    #[must_use]
    pub fn sentence(&self) -> Option<String> {
        let percent = 100.0 * self.share;
        let zones = match self.zones.as_slice() {
            [] => String::new(),
            zones => format!(" No point lies in {}.", zones.join(", ")),
        };
        (percent >= 0.5 || !self.zones.is_empty()).then(|| {
            format!(
                "The zigzag leaves {percent:.0} % of the green out: it lies more than {:.1} m from every point, most of all \
                 round x {:.1}, y {:.1} ({:.1} m).{zones} Larvae there go uncounted; --pattern stratified comes everywhere.",
                self.beyond_m, self.x_m, self.y_m, self.distance_m
            )
        })
    }
}

/// Looks for ground that points leave out, at the middles of small squares within the margin.
pub(super) fn left_out(
    outline: &Outline,
    clearance: &Clearance,
    points: &[GridPoint],
) -> Option<LeftOut> {
    let (low, high) = outline.bounds();
    let side = (high[0] - low[0]).max(high[1] - low[1]) / f64::from(SQUARES);
    let beyond_m = (outline.area_m2() / points.len() as f64).sqrt();
    let far = |x: f64, y: f64| {
        let distances = points.iter().map(|p| (p.x_m - x).hypot(p.y_m - y));
        distances.fold(f64::INFINITY, f64::min)
    };
    let middles = (0..SQUARES * SQUARES).map(|k| {
        let at = [f64::from(k % SQUARES), f64::from(k / SQUARES)];
        [0, 1].map(|axis| (at[axis] + 0.5).mul_add(side, low[axis]))
    });
    let (mut ground, mut out) = (0_u32, 0_u32);
    let mut furthest = ([0.0; 2], f64::NEG_INFINITY);
    for [x, y] in middles.filter(|&[x, y]| clearance.inside(x, y)) {
        let distance = far(x, y);
        ground += 1;
        out += u32::from(distance > beyond_m);
        if distance > furthest.1 {
            furthest = ([x, y], distance);
        }
    }
    let empty = outline.zones.iter().filter(|zone| {
        let here = |p: &&GridPoint| outline.zone_of(p.x_m, p.y_m) == Some(zone.name.as_str());
        !points.iter().any(|p| here(&p))
    });
    (ground > 0).then(|| LeftOut {
        beyond_m,
        share: f64::from(out) / f64::from(ground),
        x_m: furthest.0[0],
        y_m: furthest.0[1],
        distance_m: furthest.1,
        zones: empty.map(|zone| zone.name.clone()).collect(),
    })
}
