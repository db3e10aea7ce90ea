//! Where the units of each block stand along the directions in which the ground may change.

/// Places of units within their blocks, direction by direction, in steps from the middle of the block.
///
/// Steps are ranks: units of a block that stand equally far along a direction share one. A score is a
/// unit's rank times the number of units in a block, less the sum of the block's ranks: whole numbers that
/// add up to 0 in every block, `step` of them to a step.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Positions {
    /// The directions; empty where places are not known.
    pub directions: Vec<Direction>,
    /// What a step counts: the number of units in a block.
    pub step: i64,
}

/// Places along one direction.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Direction {
    /// Score of each unit.
    pub scores: Vec<i64>,
    /// How far the sum of a treatment's scores over all blocks may lie off 0 in a balanced draw.
    tolerance: i64,
}

impl Positions {
    /// Places along directions from the coordinates of the units, one list for each direction. Coordinates of a
    /// block that lie less than `apart` from the first of their rank share it.
    #[must_use]
    pub fn new(coordinates: &[Vec<f64>], blocks: &[Vec<usize>], apart: f64) -> Self {
        let step = blocks.first().map_or(0, Vec::len);
        let along = |of: &Vec<f64>| {
            let mut scores = vec![0; of.len()];
            let mut longest = 0;
            for block in blocks {
                let ranks = ranks(block, of, apart);
                let sum: i64 = ranks.iter().sum();
                for (&unit, rank) in block.iter().zip(&ranks) {
                    scores[unit] = rank * whole(block.len()) - sum;
                }
                longest = longest.max(ranks.into_iter().max().unwrap_or(0));
            }
            Direction {
                scores,
                tolerance: tolerance(longest, whole(step)),
            }
        };
        Self {
            directions: coordinates.iter().map(along).collect(),
            step: whole(step),
        }
    }

    /// Whether every treatment lies in the middle of its blocks in every direction, as far as numbers allow.
    #[must_use]
    pub fn balanced(&self, treatments: usize, allocation: &[usize]) -> bool {
        let mut sums = self.no_sums(treatments);
        for (unit, &treatment) in allocation.iter().enumerate() {
            self.add(&mut sums, treatments, (unit, treatment));
        }
        self.keep(&sums, treatments)
    }

    /// Sums of the scores of each treatment before any unit has one: direction after direction, treatment after treatment.
    pub(super) fn no_sums(&self, treatments: usize) -> Vec<i64> {
        vec![0; self.directions.len() * treatments]
    }

    /// Adds a unit's scores to the sums of the treatment that it gets.
    pub(super) fn add(
        &self,
        sums: &mut [i64],
        treatments: usize,
        (unit, treatment): (usize, usize),
    ) {
        for (direction, sums) in self
            .directions
            .iter()
            .zip(sums.chunks_mut(treatments.max(1)))
        {
            sums[treatment] += direction.scores[unit];
        }
    }

    /// Whether such sums are balanced.
    pub(super) fn keep(&self, sums: &[i64], treatments: usize) -> bool {
        let of_directions = self.directions.iter().zip(sums.chunks(treatments.max(1)));
        let mut each = of_directions.flat_map(|(d, sums)| sums.iter().map(move |sum| (d, sum)));
        each.all(|(direction, sum)| direction.keeps(*sum))
    }
}

impl Direction {
    /// How far off 0 the sum of a treatment's scores may lie.
    pub(super) fn tolerance(&self) -> i64 {
        self.tolerance
    }

    /// Whether a treatment whose scores add up to `sum` is balanced.
    pub(super) fn keeps(&self, sum: i64) -> bool {
        sum.abs() <= self.tolerance
    }
}

/// Half the length of a block, and in any case whatever is less than a whole step: an odd number of pairs cannot
/// be halved, nor a block with a torn row.
fn tolerance(longest: i64, step: i64) -> i64 {
    (longest * step / 2).max(step - 1)
}

/// Ranks of the units of a block along a direction, from 0.
fn ranks(block: &[usize], coordinate: &[f64], apart: f64) -> Vec<i64> {
    let mut order: Vec<usize> = (0..block.len()).collect();
    let place = |&i: &usize| coordinate[block[i]];
    order.sort_by(|a, b| place(a).total_cmp(&place(b)).then(a.cmp(b)));
    let mut ranks = vec![0; block.len()];
    let (mut rank, mut first) = (0, f64::NEG_INFINITY);
    for (met, i) in order.iter().enumerate() {
        if met == 0 {
            first = place(i);
        } else if place(i) - first >= apart {
            rank += 1;
            first = place(i);
        }
        ranks[*i] = rank;
    }
    ranks
}

fn whole(number: usize) -> i64 {
    i64::try_from(number).unwrap_or(i64::MAX)
}
