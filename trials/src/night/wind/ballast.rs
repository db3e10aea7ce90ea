//! How many weights hold sheets down, and how far apart they lie.

use serde::Serialize;

use super::super::whole::at_least;
use super::{Coefficients, Uplift, dynamic_pressure, uplift, uplift::GRAVITY};

/// Gust above which sheets stay in the shed unless the club has its own limit, metres per second: the upper limit of
/// Beaufort 5. In force 6 an umbrella is used with difficulty (WMO, specifications for use on land), and a strip of 4 m by
/// 25 m that such a gust gets under pulls with the weight of several hundred kilograms.
pub const LIMIT_GUST_M_S: f64 = 10.7;

/// Largest distance between weights unless the club has its own, metres: common practice, no source.
pub const MOST_SPACING_M: f64 = 2.0;

/// Sheets that lie together, with laps between them: a plot's, or a green's.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cover {
    /// Ground that they cover, square metres.
    pub area_m2: f64,
    /// Length of the edge all round, metres.
    pub edge_m: f64,
    /// Length of all laps, metres.
    pub lap_m: f64,
}

/// One weight, all of them alike.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Weight {
    /// Weight of one, kilograms.
    pub kg: f64,
    /// Largest distance between two along an edge or a lap, metres.
    pub most_spacing_m: f64,
}

/// What holds the sheets of a night.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Ballast {
    /// Gust, metres per second.
    pub gust_m_s: f64,
    /// Gust above which sheets stay in the shed, metres per second.
    pub limit_gust_m_s: f64,
    /// Whether the gust is within it.
    pub tonight: bool,
    /// Dynamic pressure of the gust, pascals.
    pub pressure_pa: f64,
    /// Lift in the edge zone, newtons per square metre.
    pub uplift_n_per_m2: f64,
    /// Lift in the middle, newtons per square metre.
    pub middle_uplift_n_per_m2: f64,
    /// The coefficients behind them.
    pub coefficients: Coefficients,
    /// What must lie along edges and laps together, kilograms; null above the limit.
    pub ballast_kg: Option<f64>,
    /// Weight of one, kilograms; null where it was not told.
    pub weight_kg: Option<f64>,
    /// Whole weights, edges and laps together; null above the limit or where the weight of one was not told.
    pub weights: Option<u64>,
    /// Of them along edges.
    pub edge_weights: Option<u64>,
    /// Of them along laps.
    pub lap_weights: Option<u64>,
    /// Distance between weights along the edge where they lie closest, metres.
    pub spacing_m: Option<f64>,
    /// The same along laps; null without laps.
    pub lap_spacing_m: Option<f64>,
}

/// Weights on one cover: along its edge, along its laps.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Placed {
    /// Along the edge.
    pub edge: u64,
    /// Along laps.
    pub lap: u64,
}

/// What must lie on a cover, kilograms: along its edge, along its laps. What lifts the middle is held along the laps, and along
/// the edge where there are none.
#[must_use]
pub fn kilograms(cover: &Cover, lift: &Uplift, edge_zone_m: f64) -> [f64; 2] {
    // Corners are counted twice, which leaves the more demanding zone rather larger than smaller.
    let zone = (cover.edge_m * edge_zone_m).min(cover.area_m2);
    let edge = zone * lift.edge_n_per_m2 / GRAVITY;
    let middle = (cover.area_m2 - zone) * lift.middle_n_per_m2 / GRAVITY;
    if cover.lap_m > 0.0 {
        [edge, middle]
    } else {
        [edge + middle, 0.0]
    }
}

/// Whole weights on a cover: enough for the lift, and none further from the next than the largest distance.
#[must_use]
pub fn placed(cover: &Cover, lift: &Uplift, edge_zone_m: f64, weight: &Weight) -> Placed {
    let [edge, lap] = kilograms(cover, lift, edge_zone_m);
    let along = |kg: f64, length_m: f64| {
        if length_m > 0.0 {
            at_least((kg / weight.kg).max(length_m / weight.most_spacing_m))
        } else {
            0
        }
    };
    Placed {
        edge: along(edge, cover.edge_m),
        lap: along(lap, cover.lap_m),
    }
}

/// What a gust of `gust_m_s` asks for on `covers` of a sheet of `grams_per_m2`, and whether it may be done at all.
#[must_use]
pub fn ballast(
    gust_m_s: f64,
    limit_gust_m_s: f64,
    coefficients: Coefficients,
    grams_per_m2: f64,
    covers: &[Cover],
    weight: Option<&Weight>,
) -> Ballast {
    let pressure_pa = dynamic_pressure(gust_m_s);
    let lift = uplift(pressure_pa, &coefficients, grams_per_m2);
    let tonight = gust_m_s <= limit_gust_m_s;
    let kg = covers
        .iter()
        .map(|cover| kilograms(cover, &lift, coefficients.edge_zone_m))
        .fold(0.0, |sum, [edge, lap]| sum + edge + lap);
    let weight_kg = weight.map(|w| w.kg);
    let weight = weight.filter(|_| tonight);
    let lying: Vec<(Cover, Placed)> = weight
        .iter()
        .flat_map(|weight| {
            let on = |cover: &Cover| placed(cover, &lift, coefficients.edge_zone_m, weight);
            covers.iter().map(move |cover| (*cover, on(cover)))
        })
        .collect();
    let sum =
        |of: fn(&Placed) -> u64| weight.map(|_| lying.iter().map(|(_, p)| of(p)).sum::<u64>());
    let edge_weights = sum(|p| p.edge);
    let lap_weights = sum(|p| p.lap);
    Ballast {
        gust_m_s,
        limit_gust_m_s,
        tonight,
        pressure_pa,
        uplift_n_per_m2: lift.edge_n_per_m2,
        middle_uplift_n_per_m2: lift.middle_n_per_m2,
        coefficients,
        ballast_kg: tonight.then_some(kg),
        weight_kg,
        weights: edge_weights.zip(lap_weights).map(|(edge, lap)| edge + lap),
        edge_weights,
        lap_weights,
        spacing_m: closest(lying.iter().map(|(c, p)| (c.edge_m, p.edge))),
        lap_spacing_m: closest(lying.iter().map(|(c, p)| (c.lap_m, p.lap))),
    }
}

/// The least distance between weights among lengths with so many on each.
fn closest(lengths: impl Iterator<Item = (f64, u64)>) -> Option<f64> {
    lengths
        .filter(|(_, weights)| *weights > 0)
        .map(|(length, weights)| length / weights as f64)
        .min_by(f64::total_cmp)
}
