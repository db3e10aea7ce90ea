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
    /// The place that lies furthest from every point; absent where no ground is left out.
    pub furthest: Option<Furthest>,
    /// Zones in which no point lies.
    pub zones: Vec<String>,
}

/// The place that lies furthest from every point.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Furthest {
    /// East of the origin, metres.
    pub x_m: f64,
    /// North of the origin, metres.
    pub y_m: f64,
    /// How far its nearest point is, metres.
    pub distance_m: f64,
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
        let out = self.furthest.filter(|_| percent >= 0.5).map(|far| {
            format!(
                " It leaves {percent:.0} % of the green out, ground more than {:.1} m from every point, furthest round \
                 x {:.1}, y {:.1} ({:.1} m).",
                self.beyond_m, far.x_m, far.y_m, far.distance_m
            )
        });
        (out.is_some() || !self.zones.is_empty()).then(|| {
            format!(
                "A zigzag does not come everywhere.{}{zones} Larvae there go uncounted; --pattern stratified leaves nothing out.",
                out.unwrap_or_default()
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
    let mut by_east: Vec<[f64; 2]> = points.iter().map(|p| [p.x_m, p.y_m]).collect();
    by_east.sort_by(|a, b| a[0].total_cmp(&b[0]));
    let reached = |x: f64, y: f64| {
        let first = by_east.partition_point(|p| p[0] < x - beyond_m);
        let near = by_east[first..].iter().take_while(|p| p[0] <= x + beyond_m);
        near.into_iter()
            .any(|p| (p[0] - x).hypot(p[1] - y) <= beyond_m)
    };
    let far = |x: f64, y: f64| {
        let distances = by_east.iter().map(|p| (p[0] - x).hypot(p[1] - y));
        distances.fold(f64::INFINITY, f64::min)
    };
    let middles = (0..SQUARES * SQUARES).map(|k| {
        let at = [f64::from(k % SQUARES), f64::from(k / SQUARES)];
        [0, 1].map(|axis| (at[axis] + 0.5).mul_add(side, low[axis]))
    });
    let (mut ground, mut out) = (0_u32, 0_u32);
    let mut furthest: Option<Furthest> = None;
    for [x, y] in middles.filter(|&[x, y]| clearance.inside(x, y)) {
        ground += 1;
        if reached(x, y) {
            continue;
        }
        out += 1;
        let distance_m = far(x, y);
        if furthest.is_none_or(|f| distance_m > f.distance_m) {
            furthest = Some(Furthest {
                x_m: x,
                y_m: y,
                distance_m,
            });
        }
    }
    let empty = outline.zones.iter().filter(|zone| {
        let here = |p: &&GridPoint| outline.zone_of(p.x_m, p.y_m) == Some(zone.name.as_str());
        !points.iter().any(|p| here(&p))
    });
    (ground > 0).then(|| LeftOut {
        beyond_m,
        share: f64::from(out) / f64::from(ground),
        furthest,
        zones: empty.map(|zone| zone.name.clone()).collect(),
    })
}
