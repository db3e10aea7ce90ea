//! Lanes of sheet across a green, cut to length and clipped to its outline.

use geo::{Area, BooleanOps, LineString, MinimumRotatedRect, Polygon};
use halfgreen_analysis::spatial::{Place, distance};

use super::cover_plan::Sheet;
use crate::area::Outline;

/// A piece of a lane before it is ranked.
#[derive(Debug, Clone)]
pub(super) struct Piece {
    /// Lane across the laying direction, from 1.
    pub(super) lane: usize,
    pub(super) centre: Place,
    pub(super) length_m: f64,
    pub(super) area_m2: f64,
    /// Points of the lattice that lie on it; at least one.
    pub(super) points: Vec<usize>,
}

/// Distance between points at which density is read, metres: below the spacing of any survey by cores.
const POINT_M: f64 = 1.0;

/// Points beyond which their joint law, whose cost grows with the cube, would keep the reader waiting.
const MOST_POINTS: f64 = 600.0;

/// Points spread over a green, at which density is read once for all laying directions.
pub(super) fn lattice(outline: &Outline) -> Vec<Place> {
    let apart = POINT_M.max((outline.area_m2() / MOST_POINTS).sqrt());
    let (low, high) = outline.bounds();
    let [across, up] = [0, 1].map(|axis| steps(high[axis] - low[axis], apart));
    let at = |k: usize, n: usize, axis: usize| {
        (high[axis] - low[axis]).mul_add((k as f64 + 0.5) / n as f64, low[axis])
    };
    let mut points: Vec<Place> = (0..across * up)
        .map(|k| (at(k % across, across, 0), at(k / across, up, 1)))
        .filter(|p| outline.contains(p.0, p.1))
        .collect();
    if points.is_empty() {
        points.push((
            f64::midpoint(low[0], high[0]),
            f64::midpoint(low[1], high[1]),
        ));
    }
    points
}

/// Direction of the longer side of the smallest rectangle round the green, degrees anticlockwise from
/// east, from 0 to below 180.
pub(super) fn long_axis(outline: &Outline) -> f64 {
    let Some(frame) = outline.ground.minimum_rotated_rect() else {
        return 0.0;
    };
    let longest = frame
        .exterior()
        .lines()
        .max_by(|a, b| {
            let length = |l: &geo::Line<f64>| l.dx().hypot(l.dy());
            length(a).total_cmp(&length(b))
        })
        .map_or(0.0, |l| l.dy().atan2(l.dx()).to_degrees());
    // A tenth of a degree moves the end of a 20 m strip by 3 cm.
    (longest * 10.0).round().rem_euclid(1800.0) / 10.0
}

/// Lanes along `angle_deg`, cut and clipped, with the points of the lattice that lie on each.
pub(super) fn pieces(
    outline: &Outline,
    sheet: &Sheet,
    angle_deg: f64,
    points: &[Place],
) -> Vec<Piece> {
    let (sin, cos) = angle_deg.to_radians().sin_cos();
    let ground = |u: f64, v: f64| (u.mul_add(cos, -v * sin), u.mul_add(sin, v * cos));
    let turned = |x: f64, y: f64| (x.mul_add(cos, y * sin), y.mul_add(cos, -x * sin));
    let corners = || outline.ground.exterior().coords().map(|c| turned(c.x, c.y));
    let (west, east) = span(corners().map(|c| c.0));
    let (south, north) = span(corners().map(|c| c.1));
    let pitch = sheet.width_m - sheet.lap_m;
    let (lanes, cuts) = (
        steps(north - south, pitch),
        steps(east - west, sheet.length_m),
    );
    let length = (east - west) / cuts as f64;
    let mut held = vec![Vec::new(); lanes * cuts];
    for (k, p) in points.iter().enumerate() {
        let (u, v) = turned(p.0, p.1);
        let (lane, cut) = (whole((v - south) / pitch), whole((u - west) / length));
        held[lane.min(lanes - 1) * cuts + cut.min(cuts - 1)].push(k);
    }
    let mut all = Vec::new();
    for (k, points_here) in held.into_iter().enumerate() {
        let (u, v) = (
            length.mul_add((k % cuts) as f64, west),
            pitch.mul_add((k / cuts) as f64, south),
        );
        let ring = [
            (u, v),
            (u + length, v),
            (u + length, v + pitch),
            (u, v + pitch),
        ];
        let ring: Vec<Place> = ring.iter().map(|c| ground(c.0, c.1)).collect();
        let clipped = outline
            .ground
            .intersection(&Polygon::new(LineString::from(ring), Vec::new()));
        let area_m2 = clipped.unsigned_area();
        // A sliver below a hundredth of a square metre is rounding of the outline.
        if area_m2 < 0.01 {
            continue;
        }
        let along = clipped.0.iter().flat_map(|p| p.exterior().coords());
        let (first, last) = span(along.map(|c| turned(c.x, c.y).0));
        let centre = ground(f64::midpoint(first, last), v + pitch / 2.0);
        let points_here = if points_here.is_empty() {
            nearest(points, centre)
        } else {
            points_here
        };
        all.push(Piece {
            lane: k / cuts + 1,
            centre,
            length_m: last - first,
            area_m2,
            points: points_here,
        });
    }
    all
}

fn nearest(points: &[Place], to: Place) -> Vec<usize> {
    (0..points.len())
        .min_by(|&a, &b| distance(points[a], to).total_cmp(&distance(points[b], to)))
        .into_iter()
        .collect()
}

/// Whole steps that fill a length, at least 1.
fn steps(length: f64, step: f64) -> usize {
    // A billionth: rounding must not add a lane without ground.
    whole((length / step - 1e-9).ceil()).max(1)
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "rounds down from 0; greens are far below 2^32 steps"
)]
fn whole(x: f64) -> usize {
    x.max(0.0) as usize
}

fn span(values: impl Iterator<Item = f64>) -> (f64, f64) {
    values.fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), v| {
        (a.min(v), b.max(v))
    })
}
