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

/// Tiles side by side in a row: their southern side, the western side of the first, and how many.
#[derive(Debug, Clone, Copy)]
pub(super) struct Run {
    pub(super) south: f64,
    pub(super) west: f64,
    pub(super) tiles: usize,
}

impl Run {
    /// South-west corner of a tile.
    pub(super) fn corner(&self, tile: usize, width: f64) -> [f64; 2] {
        [(tile as f64).mul_add(width, self.west), self.south]
    }
}

/// How many tiles there are in all.
pub(super) fn tiles(runs: &[Run]) -> usize {
    runs.iter().map(|run| run.tiles).sum()
}

/// Tiles that share one lattice starting `share` of a tile east of the ground's western end.
pub(super) fn lattice(region: &Region, rows: &Rows, width: f64, share: f64) -> Vec<Run> {
    let start = share.mul_add(width, region.low[0]);
    let mut runs = Vec::new();
    for (south, stretches) in rows {
        for &(west, east) in stretches {
            let first = ((west - start - ROUNDING) / width).ceil();
            let west = first.mul_add(width, start);
            runs.push(Run {
                south: *south,
                west,
                tiles: times(east - west, width),
            });
        }
    }
    runs.retain(|run| run.tiles > 0);
    runs
}

/// As many tiles as each stretch takes, centred in it.
pub(super) fn ragged(rows: &Rows, width: f64) -> Vec<Run> {
    let mut runs = Vec::new();
    for (south, stretches) in rows {
        for &(west, east) in stretches {
            let tiles = times(east - west, width);
            let spare = (tiles as f64).mul_add(-width, east - west) / 2.0;
            runs.push(Run {
                south: *south,
                west: west + spare,
                tiles,
            });
        }
    }
    runs.retain(|run| run.tiles > 0);
    runs
}
