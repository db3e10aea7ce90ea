//! The blocks that fit at one direction, start and shape of block, and how good they are.

use super::pack::{Run, tiles};
use super::request::Request;
use super::walk::to_and_fro;
use crate::design::times::times;

/// A block as found: centres in turned axes, with row and column.
pub(super) type Block = Vec<([f64; 2], usize, usize)>;

/// An array of plots at one direction.
#[derive(Debug, Clone, Copy)]
pub(super) struct Array {
    pub(super) angle_deg: f64,
    /// Length and width of a plot with its guards, metres.
    tile: [f64; 2],
    down: usize,
    across: usize,
    plots: usize,
}

/// Blocks that fit.
pub(super) struct Candidate {
    array: Array,
    /// South-west corners of the blocks, those nearest the middle of the ground first.
    corners: Vec<[f64; 2]>,
    /// Mean distance of the blocks from the middle of the ground, metres.
    off_centre: f64,
}

impl Array {
    pub(super) fn new(ask: &Request, angle_deg: f64, (down, across): (usize, usize)) -> Self {
        let side = |plot: f64| 2.0f64.mul_add(ask.guard_m, plot);
        Self {
            angle_deg,
            tile: [side(ask.length_m), side(ask.width_m)],
            down,
            across,
            plots: ask.shape.plots(),
        }
    }

    /// Length and width of the whole array, metres.
    pub(super) fn size(&self) -> [f64; 2] {
        [
            self.tile[0] * self.across as f64,
            self.tile[1] * self.down as f64,
        ]
    }

    /// Greatest distance between two plots of a block, metres, doubled where the array has idle
    /// tiles: a full row looks and walks better than a slightly shorter torn one.
    fn spread(&self) -> f64 {
        let used = self.plots.div_ceil(self.across).min(self.down);
        let [along, over] = [self.across - 1, used - 1].map(|n| n as f64);
        let spread = (self.tile[0] * along).hypot(self.tile[1] * over);
        if self.down * self.across > self.plots {
            2.0 * spread
        } else {
            spread
        }
    }

    /// Whether no candidate of this array can be better than one found.
    pub(super) fn beaten_by(&self, found: &Candidate) -> bool {
        self.spread() >= found.array.spread() + 1e-6
    }

    /// The plots of one block, row by row, walked to and fro from its western or eastern end.
    fn block(&self, corner: [f64; 2], eastward: bool) -> Block {
        (0..self.plots)
            .map(|i| {
                let row = i / self.across;
                let along = i % self.across;
                let column = if row.is_multiple_of(2) == eastward {
                    along
                } else {
                    self.across - 1 - along
                };
                let centre = [
                    self.tile[0].mul_add(column as f64 + 0.5, corner[0]),
                    self.tile[1].mul_add(row as f64 + 0.5, corner[1]),
                ];
                (centre, row, column)
            })
            .collect()
    }
}

impl Candidate {
    /// Keeps the asked number of blocks, those nearest the middle of the ground, and measures them. There must be
    /// as many.
    pub(super) fn new(array: Array, runs: &[Run], blocks: usize, middle: [f64; 2]) -> Self {
        let kept = nearest(&array, runs, blocks, middle);
        let off_centre = kept.iter().map(|(far, _)| far).sum::<f64>() / kept.len() as f64;
        Self {
            array,
            corners: kept.into_iter().map(|(_, corner)| corner).collect(),
            off_centre,
        }
    }

    pub(super) fn better_than(&self, other: &Self) -> bool {
        let (own, others) = (self.array.spread(), other.array.spread());
        // Differences below a micrometre are rounding.
        own + 1e-6 < others || (own < others + 1e-6 && self.off_centre + 1e-6 < other.off_centre)
    }

    pub(super) fn angle_deg(&self) -> f64 {
        self.array.angle_deg
    }

    /// The blocks in walking order.
    pub(super) fn blocks(&self) -> Vec<Block> {
        let half = self.array.size().map(|side| side / 2.0);
        let centres: Vec<[f64; 2]> = self
            .corners
            .iter()
            .map(|c| [c[0] + half[0], c[1] + half[1]])
            .collect();
        to_and_fro(&centres, 2.0 * half[1])
            .into_iter()
            .map(|(i, eastward)| self.array.block(self.corners[i], eastward))
            .collect()
    }
}

/// Distance from the middle and corner of the `blocks` blocks nearest to it, nearest first.
///
/// Only tiles within a reach are looked at; the reach grows until it holds enough.
fn nearest(array: &Array, runs: &[Run], blocks: usize, middle: [f64; 2]) -> Vec<(f64, [f64; 2])> {
    let size = array.size();
    let half = size.map(|side| side / 2.0);
    let far = |c: [f64; 2]| (c[0] + half[0] - middle[0]).hypot(c[1] + half[1] - middle[1]);
    let total: usize = tiles(runs);
    // A square of this side would hold twice the number if all of it were free.
    let mut reach = (2.0 * blocks as f64 * size[0] * size[1])
        .sqrt()
        .max(size[0] + size[1]);
    loop {
        let mut kept: Vec<(f64, [f64; 2])> = Vec::new();
        let mut seen = 0;
        for run in runs {
            if (run.south + half[1] - middle[1]).abs() > reach {
                continue;
            }
            let tile = |x: f64| times(x - half[0] - run.west, size[0]);
            let (first, last) = (tile(middle[0] - reach), tile(middle[0] + reach) + 2);
            for i in first..last.min(run.tiles) {
                let corner = run.corner(i, size[0]);
                seen += 1;
                kept.push((far(corner), corner));
            }
        }
        kept.retain(|(far, _)| seen == total || *far <= reach);
        if kept.len() >= blocks || seen == total {
            kept.sort_by(|a, b| a.0.total_cmp(&b.0));
            kept.truncate(blocks);
            return kept;
        }
        reach *= 1.5;
    }
}
