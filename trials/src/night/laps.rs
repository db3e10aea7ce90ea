//! Which sheet lies over which, and so which is laid first.
//!
//! *Question.* In which order are strips laid so that the wind passes over the laps and not into them?
//!
//! *In.* Strips that lie together, and the bearing that the wind comes from. *Out.* Their order, and why.
//!
//! *Method.* The strip upwind lies over the one downwind, as tiles lie over those below them on a roof: laying begins
//! downwind and goes against the wind, lane by lane, and within a lane piece by piece (common practice, no source). Where
//! the wind blows along the lanes, within [`ALONG_DEG`], it decides for the joints of a lane alone.

use serde::Serialize;

use super::takeoff::Strip;

/// Between wind and lanes, degrees: within it neither side of a lane is upwind for long, as gusts turn.
pub const ALONG_DEG: f64 = 10.0;

/// Why strips are laid in their order.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Lapping {
    /// The upwind strip lies over the downwind one.
    UpwindOver,
    /// The wind blows along the lanes: either side may be first, joints lie with the wind.
    WindAlong,
    /// The bearing is not known: either end may be first.
    NoBearing,
}

/// Places of the strips in the order in which they are laid, and why. `from_deg` is where the wind comes from, degrees
/// clockwise from north.
#[must_use]
pub fn laying_order(strips: &[Strip], from_deg: Option<f64>) -> (Vec<usize>, Lapping) {
    let mut order: Vec<usize> = (0..strips.len()).collect();
    let Some(first) = strips.first() else {
        return (order, Lapping::NoBearing);
    };
    let Some(from_deg) = from_deg else {
        return (order, Lapping::NoBearing);
    };
    // Towards the wind, east and north; across is to the left of the lanes' direction.
    let (east, north) = from_deg.to_radians().sin_cos();
    let (sin, cos) = first.angle_deg.to_radians().sin_cos();
    let (along, across) = (east * cos + north * sin, north * cos - east * sin);
    let limit = ALONG_DEG.to_radians().sin();
    let way = |towards: f64| if towards < 0.0 { -1.0 } else { 1.0 };
    let place = |i: usize| {
        let s: &Strip = &strips[i];
        (
            way(across) * s.lane as f64,
            way(along) * s.x_m.mul_add(cos, s.y_m * sin),
        )
    };
    order.sort_by(|&a, &b| {
        let (a, b) = (place(a), place(b));
        a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1))
    });
    if across.abs() < limit {
        (order, Lapping::WindAlong)
    } else {
        (order, Lapping::UpwindOver)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Three lanes of two pieces along a direction, the first lane on the right.
    fn strips(angle_deg: f64) -> Vec<Strip> {
        let (sin, cos) = angle_deg.to_radians().sin_cos();
        let each = (0..6).map(|k| {
            let (lane, piece) = (k / 2, k % 2);
            let (u, v) = (10.0 * f64::from(piece), 2.0 * f64::from(lane));
            Strip {
                lane: usize::try_from(lane).unwrap() + 1,
                x_m: u * cos - v * sin,
                y_m: u * sin + v * cos,
                length_m: 10.2,
                width_m: 2.2,
                angle_deg,
                jointed: piece == 0,
            }
        });
        each.collect()
    }

    /// Whatever the wind and the lanes: of two that lap, the one more upwind is laid later, so that it lies over.
    #[test]
    fn the_upwind_sheet_lies_over_the_downwind_one() {
        for angle in [0.0, 30.0, 90.0, 145.0] {
            let strips = strips(angle);
            for from in (0..36).map(|k| f64::from(k) * 10.0) {
                let (order, why) = laying_order(&strips, Some(from));
                let (east, north) = from.to_radians().sin_cos();
                let upwind = |i: usize| strips[i].x_m * east + strips[i].y_m * north;
                for (k, &a) in order.iter().enumerate() {
                    for &b in &order[k + 1..] {
                        let neighbours =
                            strips[a].lane.abs_diff(strips[b].lane) == 1 && a % 2 == b % 2;
                        let joint = strips[a].lane == strips[b].lane;
                        if joint || (neighbours && why == Lapping::UpwindOver) {
                            // Square to the wind a joint lies neither way, but for rounding.
                            assert!(upwind(b) >= upwind(a) - 1e-9, "{angle} {from}: {order:?}");
                        }
                    }
                }
            }
        }
        let (order, why) = laying_order(&strips(0.0), Some(180.0));
        assert_eq!(
            (order[0], why),
            (4, Lapping::UpwindOver),
            "a south wind: the north is laid first"
        );
        assert_eq!(laying_order(&strips(0.0), Some(95.0)).1, Lapping::WindAlong);
        assert_eq!(laying_order(&strips(0.0), None).1, Lapping::NoBearing);
    }
}
