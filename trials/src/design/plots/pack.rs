//! Tiles of one size packed into the free stretches of rows.

use super::region::Region;
use crate::design::times::times;

/// Rounding allowance when a stretch is divided into tiles, metres.
const ROUNDING: f64 = 1e-7;

/// Rows of free stretches from a given start: `(south, [(west, east)])`.
pub(super) type Rows = Vec<(f64, Vec<(f64, f64)>)>;

/// The rows of height `height` that fit when the first starts `share` of a row above the lowest
/// point of the ground.
pub(super) fn rows(region: &Region, height: f64, share: f64) -> Rows {
    let start = share.mul_add(height, region.low[1]);
    let room = region.high[1] - start;
    (0..times(room, height))
        .map(|row| {
            let south = (row as f64).mul_add(height, start);
            (south, region.free(south, south + height))
        })
        .collect()
}

/// South-west corners of tiles that share one lattice starting `share` of a tile east of the
/// ground's western end.
pub(super) fn lattice(region: &Region, rows: &Rows, width: f64, share: f64) -> Vec<[f64; 2]> {
    let start = share.mul_add(width, region.low[0]);
    let mut corners = Vec::new();
    for (south, stretches) in rows {
        for &(west, east) in stretches {
            let first = ((west - start - ROUNDING) / width).ceil();
            let count = times(east - first.mul_add(width, start), width);
            let west = first.mul_add(width, start);
            corners.extend((0..count).map(|i| [(i as f64).mul_add(width, west), *south]));
        }
    }
    corners
}

/// South-west corners of as many tiles as each stretch takes, centred in it.
pub(super) fn ragged(rows: &Rows, width: f64) -> Vec<[f64; 2]> {
    let mut corners = Vec::new();
    for (south, stretches) in rows {
        for &(west, east) in stretches {
            let count = times(east - west, width);
            let spare = (count as f64).mul_add(-width, east - west) / 2.0;
            corners.extend((0..count).map(|i| [(i as f64).mul_add(width, west + spare), *south]));
        }
    }
    corners
}
