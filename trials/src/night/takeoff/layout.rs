//! Which way the lanes lie and where the first begins.

use geo::{Area, Polygon};

use super::cut::{Piece, lengths, pieces};
use super::directions::{about, half_turn, to_try};
use super::ground::{Ground, Holes};
use super::lanes::Lanes;
use super::{RollSize, Strip, TakeOff};
use crate::Error;
use crate::ranges::request::ORDER_STRIPS;

/// Which way the strips lie.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Laying {
    /// Whichever of the directions searched takes least sheet and strips.
    Best,
    /// Along a direction, degrees anticlockwise from east.
    Along(f64),
    /// Along a direction or square to it, whichever takes less sheet and strips: plots.
    AlongOrAcross(f64),
}

/// Shares of the width to spare that lie before the ground; the even one comes first and wins among equals.
const SHARES: [f64; 5] = [0.5, 0.0, 0.25, 0.75, 1.0];

/// A strip more must save as much of the roll's length, millimetres: it is cut, carried and lapped by itself (common
/// practice, no source).
const STRIP_MM: u64 = 1_000;

/// Directions that are looked at with all places of the first lane.
const LOOKED_AT: usize = 24;

/// Strips of a roll that cover a polygon, with the margin of the roll round it; see [the front page](super).
///
/// # Errors
/// Ground without area, or ground that takes more strips than [`ORDER_STRIPS`].
pub fn take_off(
    ground: &Polygon<f64>,
    roll: &RollSize,
    laying: Laying,
    holes: Holes,
) -> Result<TakeOff, Error> {
    let best = take_offs(ground, roll, laying, holes, 1)?;
    best.into_iter().next().ok_or_else(no_ground)
}

/// The same in the best few of the directions searched, least [effort](TakeOff::effort_m2) first: the one that is cheapest depends on the
/// rolls that they are cut from.
///
/// # Errors
/// As [`take_off`].
pub fn take_offs(
    ground: &Polygon<f64>,
    roll: &RollSize,
    laying: Laying,
    holes: Holes,
    most: usize,
) -> Result<Vec<TakeOff>, Error> {
    let area_m2 = ground.unsigned_area();
    let wide = Ground::new(ground, roll.edge_m(), holes).filter(|_| area_m2 > 0.0);
    let wide = wide.ok_or_else(no_ground)?;
    let (tried, best) = searched(&wide, roll, laying)?;
    let made = |t: &Tried| {
        let strips = strips(&wide, roll, t);
        TakeOff {
            roll: *roll,
            angle_deg: t.angle_deg,
            area_m2,
            sheet_m2: strips.iter().map(Strip::sheet_m2).sum(),
            strips,
            directions: tried,
        }
    };
    Ok(best.iter().take(most).map(made).collect())
}

/// A way to lay the lanes and what it takes.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Tried {
    /// Length of all pieces, millimetres: whole, so that equals are equal.
    length_mm: u64,
    pieces: usize,
    /// Place of the share in [`SHARES`].
    share: usize,
    angle_deg: f64,
}

impl Tried {
    fn order(&self, other: &Self) -> std::cmp::Ordering {
        let whole = |t: &Self| (t.length_mm + STRIP_MM * t.pieces as u64, t.pieces, t.share);
        whole(self)
            .cmp(&whole(other))
            .then(self.angle_deg.total_cmp(&other.angle_deg))
    }
}

/// How many directions were tried, and the best of them, each with its best first lane.
fn searched(
    ground: &Ground,
    roll: &RollSize,
    laying: Laying,
) -> Result<(usize, Vec<Tried>), Error> {
    let exactly = |angle: f64| best_lanes(&ground.turned(angle), roll, angle);
    match laying {
        Laying::Along(angle) => Ok((1, vec![exactly(half_turn(angle))?])),
        Laying::AlongOrAcross(angle) => {
            let both = [angle, angle + 90.0].map(|a| exactly(half_turn(a)));
            let [along, across] = both;
            Ok((2, sorted(vec![along?, across?])))
        }
        Laying::Best => {
            let (coarse, tried) = ranked(ground, roll, &to_try(ground))?;
            let fine = about(coarse.first().map_or(0.0, |t| t.angle_deg));
            let (fine, more) = ranked(ground, roll, &fine)?;
            let all = sorted(coarse.into_iter().chain(fine).collect());
            let nearest = all.iter().take(LOOKED_AT).map(|t| exactly(t.angle_deg));
            let best = sorted(nearest.collect::<Result<_, _>>()?);
            Ok((tried + more, best))
        }
    }
}

/// Directions by what they take on the thinned edge with the spare width shared evenly.
fn ranked(ground: &Ground, roll: &RollSize, angles: &[f64]) -> Result<(Vec<Tried>, usize), Error> {
    let tried = angles
        .iter()
        .map(|&angle| tried(&ground.nearly(angle), roll, angle, 0));
    let ranked = sorted(tried.collect::<Result<_, _>>()?);
    Ok((ranked, angles.len()))
}

/// The best of all first lanes in one direction.
fn best_lanes(rings: &[Vec<[f64; 2]>], roll: &RollSize, angle_deg: f64) -> Result<Tried, Error> {
    let each = (0..SHARES.len()).map(|share| tried(rings, roll, angle_deg, share));
    let all = sorted(each.collect::<Result<_, _>>()?);
    all.into_iter().next().ok_or_else(no_ground)
}

fn tried(
    rings: &[Vec<[f64; 2]>],
    roll: &RollSize,
    angle_deg: f64,
    share: usize,
) -> Result<Tried, Error> {
    let lanes = Lanes::across(across(rings), roll, SHARES[share]);
    not_too_many(lanes.count)?;
    let (mut length_mm, mut pieces) = (0, 0);
    for stretch in lanes.stretches(rings).iter().flatten() {
        let cut = lengths(stretch[1] - stretch[0], roll);
        pieces += cut.len();
        length_mm += cut.into_iter().map(millimetres).sum::<u64>();
    }
    not_too_many(pieces)?;
    Ok(Tried {
        length_mm,
        pieces,
        share,
        angle_deg,
    })
}

/// The strips of a way to lay, at their places.
fn strips(ground: &Ground, roll: &RollSize, way: &Tried) -> Vec<Strip> {
    let rings = ground.turned(way.angle_deg);
    let lanes = Lanes::across(across(&rings), roll, SHARES[way.share]);
    let mut strips = Vec::new();
    for (lane, stretches) in lanes.stretches(&rings).iter().enumerate() {
        for &stretch in stretches {
            let place = Place {
                lane: lane + 1,
                middle: lanes.middle(lane),
                angle_deg: way.angle_deg,
                origin: ground.origin,
            };
            strips.extend(place.strips(stretch, roll));
        }
    }
    strips
}

/// Pieces of a roll, end to end, that reach over a length along a direction about a centre.
pub(in crate::night) fn joined(
    centre: [f64; 2],
    length_m: f64,
    angle_deg: f64,
    roll: &RollSize,
) -> Vec<Strip> {
    let place = Place {
        lane: 1,
        middle: 0.0,
        angle_deg,
        origin: centre,
    };
    place.strips([-length_m / 2.0, length_m / 2.0], roll)
}

/// A lane on the ground.
struct Place {
    lane: usize,
    /// Middle of the lane, across.
    middle: f64,
    angle_deg: f64,
    origin: [f64; 2],
}

impl Place {
    fn strips(&self, stretch: [f64; 2], roll: &RollSize) -> Vec<Strip> {
        let (sin, cos) = self.angle_deg.to_radians().sin_cos();
        let (v, cut) = (self.middle, pieces(stretch[0], stretch[1], roll));
        let last = cut.len().saturating_sub(1);
        let strip = |(i, piece): (usize, &Piece)| {
            let u = piece.start + piece.length / 2.0;
            Strip {
                lane: self.lane,
                x_m: u.mul_add(cos, -v * sin) + self.origin[0],
                y_m: u.mul_add(sin, v * cos) + self.origin[1],
                length_m: piece.length,
                width_m: roll.width_m(),
                angle_deg: self.angle_deg,
                jointed: i < last,
            }
        };
        cut.iter().enumerate().map(strip).collect()
    }
}

fn sorted(mut tried: Vec<Tried>) -> Vec<Tried> {
    tried.sort_by(Tried::order);
    tried
}

/// From where to where the ground reaches across the lanes.
fn across(rings: &[Vec<[f64; 2]>]) -> [f64; 2] {
    let all = rings.iter().flatten().map(|c| c[1]);
    all.fold([f64::INFINITY, f64::NEG_INFINITY], |[a, b], v| {
        [a.min(v), b.max(v)]
    })
}

fn not_too_many(strips: usize) -> Result<(), Error> {
    if ORDER_STRIPS.holds_whole(strips as u64) {
        return Ok(());
    }
    let found = format!("the ground takes {strips} strips or more of this roll");
    let cure = "Check the sizes of the roll and the unit of the outline.";
    Err(ORDER_STRIPS.refuse("take-off", &found, cure))
}

fn no_ground() -> Error {
    let what = "there is no ground to cover";
    Error::new("take-off", what, "Check the outline's corners.")
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "above 0, and ground is at most a kilometre wide"
)]
fn millimetres(length_m: f64) -> u64 {
    (length_m * 1000.0).round() as u64
}
