//! What a take-off gives: strips at their places.

use geo::{LineString, Polygon};
use serde::Serialize;

use super::RollSize;

/// A piece of sheet at its place.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Strip {
    /// Lane across the laying direction, from 1 at the right of somebody who looks along it.
    pub lane: usize,
    /// Centre, east, metres.
    pub x_m: f64,
    /// Centre, north, metres.
    pub y_m: f64,
    /// Length to cut, metres.
    pub length_m: f64,
    /// Width, that of the roll, metres.
    pub width_m: f64,
    /// Direction of the length, degrees anticlockwise from east, from 0 to below 180.
    pub angle_deg: f64,
    /// Whether another piece continues it along the lane and laps its end.
    pub jointed: bool,
}

impl Strip {
    /// Sheet, square metres.
    #[must_use]
    pub fn sheet_m2(&self) -> f64 {
        self.length_m * self.width_m
    }

    /// The ground that it lies on.
    #[must_use]
    pub fn rectangle(&self) -> Polygon<f64> {
        rectangle(
            [self.x_m, self.y_m],
            [self.length_m, self.width_m],
            self.angle_deg,
        )
    }
}

/// A rectangle by its centre, length and width, metres, and the direction of its length, degrees anticlockwise from east.
#[must_use]
pub fn rectangle(centre: [f64; 2], sides: [f64; 2], angle_deg: f64) -> Polygon<f64> {
    let (sin, cos) = angle_deg.to_radians().sin_cos();
    let corner = |along: f64, across: f64| {
        let (u, v) = (along * sides[0] / 2.0, across * sides[1] / 2.0);
        (
            u.mul_add(cos, -v * sin) + centre[0],
            u.mul_add(sin, v * cos) + centre[1],
        )
    };
    let ring = vec![
        corner(-1.0, -1.0),
        corner(1.0, -1.0),
        corner(1.0, 1.0),
        corner(-1.0, 1.0),
    ];
    Polygon::new(LineString::from(ring), Vec::new())
}

/// Strips that cover a piece of ground, lane by lane and along each lane.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct TakeOff {
    /// Roll that they are cut from.
    pub roll: RollSize,
    /// Direction of the lanes, degrees anticlockwise from east, from 0 to below 180.
    pub angle_deg: f64,
    /// The strips.
    pub strips: Vec<Strip>,
    /// Ground to be covered, without laps and margin, square metres.
    pub area_m2: f64,
    /// Sheet cut: the strips' lengths times the roll's width, square metres.
    pub sheet_m2: f64,
    /// Directions that were tried.
    pub directions: usize,
}

impl TakeOff {
    /// Sheet, and a metre of the roll more for each strip, square metres: what ways to lay are compared by.
    #[must_use]
    pub fn effort_m2(&self) -> f64 {
        self.sheet_m2 + self.strips.len() as f64 * self.roll.width_m()
    }
}
