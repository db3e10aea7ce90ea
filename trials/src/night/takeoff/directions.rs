//! Directions in which to try the lanes.

use super::ground::Ground;

/// Edges of the hull whose directions are tried, the longest first: a walked edge has thousands.
pub const HULL_EDGES: usize = 90;

/// Directions that differ by less are one, degrees: over 100 m they part by less than 2 mm.
const SAME_DEG: f64 = 1e-3;

/// Steps about the best direction, degrees, and how many on each side.
const FINE_DEG: f64 = 0.1;
const FINE_STEPS: i32 = 9;

/// Whole degrees, and the directions of the longest edges of the hull; from 0 to below 180, each once.
pub(super) fn to_try(ground: &Ground) -> Vec<f64> {
    let mut edges = ground.hull();
    let length = |e: &[f64; 2]| e[0].hypot(e[1]);
    edges.sort_by(|a, b| length(b).total_cmp(&length(a)));
    let hull = edges
        .iter()
        .take(HULL_EDGES)
        .map(|e| half_turn(e[1].atan2(e[0]).to_degrees()));
    distinct((0..180).map(f64::from).chain(hull).collect())
}

/// Tenths of a degree about a direction.
pub(super) fn about(best: f64) -> Vec<f64> {
    let steps = (-FINE_STEPS..=FINE_STEPS).filter(|&k| k != 0);
    distinct(
        steps
            .map(|k| half_turn(f64::from(k).mul_add(FINE_DEG, best)))
            .collect(),
    )
}

/// A direction from 0 to below 180 degrees: a strip has no front.
pub(super) fn half_turn(angle_deg: f64) -> f64 {
    let turned = angle_deg.rem_euclid(180.0);
    // Just below 0 the remainder rounds to 180.
    if turned >= 180.0 - SAME_DEG / 2.0 {
        0.0
    } else {
        turned
    }
}

fn distinct(mut angles: Vec<f64>) -> Vec<f64> {
    angles.sort_by(f64::total_cmp);
    angles.dedup_by(|b, a| (*b - *a).abs() < SAME_DEG);
    angles
}
