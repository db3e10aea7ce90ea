//! Which strips of sheet reach most larvae for their area?

use geo::{Area, BooleanOps, LineString, Polygon};
use halfgreen_analysis::spatial::Place;
use serde::Serialize;

use super::field::Field;
use crate::Error;
use crate::area::Outline;

/// The sheet that can be laid.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sheet {
    /// Width of a roll, metres.
    pub width_m: f64,
    /// Overlap of neighbouring strips, metres.
    pub lap_m: f64,
    /// Strips longer than this are cut, metres.
    pub length_m: f64,
    /// Laying direction, degrees anticlockwise from east.
    pub angle_deg: f64,
    /// Sheet there is, square metres; `None` plans for the whole green.
    pub stock_m2: Option<f64>,
}

/// One strip, clipped to the green.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Strip {
    /// Order of laying, the best first, from 1.
    pub strip: usize,
    /// Lane across the laying direction, from 1.
    pub lane: usize,
    /// Centre, east, metres.
    pub x_m: f64,
    /// Centre, north, metres.
    pub y_m: f64,
    /// Length, metres.
    pub length_m: f64,
    /// Ground it takes for itself: roll width less lap, metres.
    pub width_m: f64,
    /// Direction of the length, degrees anticlockwise from east.
    pub angle_deg: f64,
    /// Ground covered, square metres.
    pub area_m2: f64,
    /// Share of all larvae of the green that lie under it.
    pub expected_share: f64,
    /// Lower 95 % limit of that share.
    pub share_low: f64,
    /// Upper 95 % limit of that share.
    pub share_high: f64,
    /// Whether the sheet there is reaches this far.
    pub laid: bool,
}

/// How the share reached grows with the area covered.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CoverStep {
    /// Ground covered, square metres.
    pub area_m2: f64,
    /// Share of the green covered: what an even choice would reach.
    pub naive_share: f64,
    /// Share of larvae expected under the best strips.
    pub share: f64,
    /// Lower 95 % limit.
    pub low: f64,
    /// Upper 95 % limit.
    pub high: f64,
}

/// Strips in the order in which to lay them, and what they reach together.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CoverPlan {
    /// The strips, best first.
    pub strips: Vec<Strip>,
    /// The curve, one step for each strip.
    pub curve: Vec<CoverStep>,
}

/// A piece of a lane before it is ranked.
struct Piece {
    lane: usize,
    centre: Place,
    length_m: f64,
    area_m2: f64,
    points: std::ops::Range<usize>,
}

/// Ranks strips by larvae reached per area. `field` gives the density at any points asked for, all in
/// one call. Taking the best ratio first is optimal where strips are of one size, and at every step of
/// the curve among plans of that area made of whole strips and a part of one (Dantzig 1957, Oper. Res.
/// 5, 266-277).
///
/// # Errors
/// A sheet without width, wider lap than roll, or a green that no strip touches.
pub fn cover_plan(
    outline: &Outline,
    sheet: &Sheet,
    field: impl FnOnce(&[Place]) -> Result<Field, Error>,
) -> Result<CoverPlan, Error> {
    check(sheet)?;
    let (pieces, points) = pieces(outline, sheet);
    if pieces.is_empty() {
        let what = "no strip touches the green";
        return Err(Error::new(
            "cover plan",
            what,
            "Check the outline's metres.",
        ));
    }
    let density = field(&points)?;
    let reach = |map: &[f64]| -> Vec<f64> {
        let raw: Vec<f64> = pieces
            .iter()
            .map(|p| {
                let here = &map[p.points.clone()];
                p.area_m2 * here.iter().sum::<f64>() / here.len() as f64
            })
            .collect();
        let all: f64 = raw.iter().sum();
        let green: f64 = pieces.iter().map(|p| p.area_m2).sum();
        // Without larvae anywhere every square metre is as good as another.
        let share = |(r, p): (&f64, &Piece)| {
            if all > 0.0 {
                r / all
            } else {
                p.area_m2 / green
            }
        };
        raw.iter().zip(&pieces).map(share).collect()
    };
    let shares = reach(&density.expected);
    let draws: Vec<Vec<f64>> = density.draws.iter().map(|d| reach(d)).collect();
    let mut order: Vec<usize> = (0..pieces.len()).collect();
    let worth = |i: usize| shares[i] / pieces[i].area_m2;
    order.sort_by(|&a, &b| worth(b).total_cmp(&worth(a)).then(a.cmp(&b)));
    Ok(ranked(&pieces, &order, &shares, &draws, sheet))
}

fn check(sheet: &Sheet) -> Result<(), Error> {
    let sizes = [sheet.width_m, sheet.length_m, sheet.width_m - sheet.lap_m];
    let sound = sizes.iter().all(|&s| s.is_finite() && s > 0.0)
        && sheet.lap_m >= 0.0
        && sheet.angle_deg.is_finite()
        && sheet.stock_m2.is_none_or(|s| s > 0.0);
    if sound {
        return Ok(());
    }
    Err(Error::new(
        "sheet",
        format!(
            "a roll {} m wide, cut at {} m, lapped by {} m, cannot be laid",
            sheet.width_m, sheet.length_m, sheet.lap_m
        ),
        "Give a width and a length above 0, a lap from 0 to below the width, and sheet above 0 square metres.",
    ))
}

/// Lanes across the laying direction, cut to length and clipped; and points spread over each.
fn pieces(outline: &Outline, sheet: &Sheet) -> (Vec<Piece>, Vec<Place>) {
    let (sin, cos) = sheet.angle_deg.to_radians().sin_cos();
    let ground = |u: f64, v: f64| (u.mul_add(cos, -v * sin), u.mul_add(sin, v * cos));
    let corners = outline.ground.exterior();
    let along = corners.coords().map(|c| c.x.mul_add(cos, c.y * sin));
    let across = corners.coords().map(|c| c.y.mul_add(cos, -c.x * sin));
    let (west, east) = span(along);
    let (south, north) = span(across);
    let pitch = sheet.width_m - sheet.lap_m;
    let apart = POINT_M.max((outline.area_m2() / MOST_POINTS).sqrt());
    let (mut all, mut points) = (Vec::new(), Vec::new());
    for lane in 0..steps(north - south, pitch) {
        let v = south + pitch * lane as f64;
        let cuts = steps(east - west, sheet.length_m);
        let length = (east - west) / cuts as f64;
        for cut in 0..cuts {
            let u = west + length * cut as f64;
            let ring = [
                (u, v),
                (u + length, v),
                (u + length, v + pitch),
                (u, v + pitch),
            ];
            let ring: Vec<Place> = ring.iter().map(|c| ground(c.0, c.1)).collect();
            let frame = Polygon::new(LineString::from(ring), Vec::new());
            let clipped = outline.ground.intersection(&frame);
            let area_m2 = clipped.unsigned_area();
            // A sliver below a hundredth of a square metre is rounding of the outline.
            if area_m2 < 0.01 {
                continue;
            }
            let (first, last) = span(
                clipped
                    .0
                    .iter()
                    .flat_map(|p| p.exterior().coords())
                    .map(|c| c.x.mul_add(cos, c.y * sin)),
            );
            let start = points.len();
            let [count_u, count_v] = [last - first, pitch].map(|side| steps(side, apart));
            for i in 0..count_u * count_v {
                let share = |k: usize, n: usize| (k as f64 + 0.5) / n as f64;
                let p = ground(
                    (last - first).mul_add(share(i % count_u, count_u), first),
                    pitch.mul_add(share(i / count_u, count_v), v),
                );
                if outline.contains(p.0, p.1) {
                    points.push(p);
                }
            }
            let centre = ground(f64::midpoint(first, last), v + pitch / 2.0);
            if points.len() == start {
                points.push(centre);
            }
            all.push(Piece {
                lane: lane + 1,
                centre,
                length_m: last - first,
                area_m2,
                points: start..points.len(),
            });
        }
    }
    (all, points)
}

/// Distance between points at which density is read, metres: below the spacing of any survey by cores.
const POINT_M: f64 = 1.0;

/// Points beyond which their joint law, whose cost grows with the cube, would keep the reader waiting.
const MOST_POINTS: f64 = 600.0;

/// Whole steps that fill a length, at least 1.
fn steps(length: f64, step: f64) -> usize {
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a whole number from 1; greens are far below 2^32 steps"
    )]
    let whole = (length / step - 1e-9).ceil().max(1.0) as usize;
    whole
}

fn span(values: impl Iterator<Item = f64>) -> (f64, f64) {
    values.fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), v| {
        (a.min(v), b.max(v))
    })
}

fn ranked(
    pieces: &[Piece],
    order: &[usize],
    shares: &[f64],
    draws: &[Vec<f64>],
    sheet: &Sheet,
) -> CoverPlan {
    let green: f64 = pieces.iter().map(|p| p.area_m2).sum();
    let (mut area, mut share, mut used) = (0.0, 0.0, 0.0);
    let mut sums = vec![0.0; draws.len()];
    let mut plan = CoverPlan {
        strips: Vec::new(),
        curve: Vec::new(),
    };
    for (rank, &i) in order.iter().enumerate() {
        let piece = &pieces[i];
        area += piece.area_m2;
        share += shares[i];
        used += piece.length_m * sheet.width_m;
        sums.iter_mut().zip(draws).for_each(|(s, d)| *s += d[i]);
        let (low, high) = limits(&sums, share);
        let own: Vec<f64> = draws.iter().map(|d| d[i]).collect();
        let (share_low, share_high) = limits(&own, shares[i]);
        plan.strips.push(Strip {
            strip: rank + 1,
            lane: piece.lane,
            x_m: piece.centre.0,
            y_m: piece.centre.1,
            length_m: piece.length_m,
            width_m: sheet.width_m - sheet.lap_m,
            angle_deg: sheet.angle_deg,
            area_m2: piece.area_m2,
            expected_share: shares[i],
            share_low,
            share_high,
            laid: sheet.stock_m2.is_none_or(|stock| used <= stock),
        });
        plan.curve.push(CoverStep {
            area_m2: area,
            naive_share: area / green,
            share: share.min(1.0),
            low: low.min(1.0),
            high: high.min(1.0),
        });
    }
    plan
}

/// Central 95 % of the alternatives.
fn limits(draws: &[f64], otherwise: f64) -> (f64, f64) {
    let mut sorted = draws.to_vec();
    sorted.sort_by(f64::total_cmp);
    let last = sorted.len().saturating_sub(1);
    let tail = sorted.len() / 40;
    let at = |k: usize| sorted.get(k).copied().unwrap_or(otherwise);
    (at(tail), at(last.saturating_sub(tail)))
}
