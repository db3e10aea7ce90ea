//! A Latin square drawn for each block: the block's units row by row.

use halfgreen_analysis::random::Generator;
use num_bigint::BigUint;

use super::attainable::AttainableP;
use super::combinations::{derangements, factorial, power};
use super::randomisation::{BlockSampler, Randomisation};
use super::squares::{SquareSampler, all_squares};
use crate::Error;

/// Numbers of reduced Latin squares of orders 1 to 11 (B. D. `McKay` and I. M. Wanless 2005, *Ann. Comb.* 9,
/// 335-344, table 1).
const REDUCED: [u128; 11] = [
    1,
    1,
    1,
    4,
    56,
    9408,
    16_942_080,
    535_281_401_856,
    377_597_570_964_258_816,
    7_580_721_483_160_132_811_489_280,
    5_363_937_773_277_371_298_119_673_540_771_840,
];

/// A Latin square.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Square {
    /// Treatments, rows and columns.
    pub order: usize,
}

impl Randomisation for Square {
    fn units(&self) -> usize {
        self.order * self.order
    }

    fn number(&self) -> Result<BigUint, Error> {
        let reduced = self.order.checked_sub(1).and_then(|i| REDUCED.get(i));
        reduced
            .map(|&r| BigUint::from(r) * factorial(self.order) * factorial(self.order - 1))
            .ok_or_else(|| {
                Error::new(
                    "trial.toml [design] kind",
                    format!(
                        "the number of Latin squares of order {} is not known",
                        self.order
                    ),
                    "Use 2 to 11 treatments, or randomised blocks.",
                )
            })
    }

    fn sampler(&self) -> Result<BlockSampler<'_>, Error> {
        let sampler = SquareSampler::new(self.order)?;
        Ok(Box::new(move |generator: &mut Generator| {
            sampler.draw(generator).concat()
        }))
    }

    fn each(&self) -> Vec<Vec<usize>> {
        all_squares(self.order)
    }

    fn shuffles(&self) -> Option<Vec<Vec<usize>>> {
        None
    }

    fn exchangeable(&self) -> bool {
        false
    }

    /// Allocations with both letters in place. Up to order 5 the fewest over all places, found by listing;
    /// above, the mean over all places, n! times the derangements of n in number.
    fn attainable_p(&self, _control: usize, blocks: usize) -> Result<AttainableP, Error> {
        let all = self.number()?;
        let places = if (2..=5).contains(&self.order) {
            all / BigUint::from(completions(self.order))
        } else {
            factorial(self.order) * derangements(self.order)
        };
        Ok(AttainableP {
            smallest_p: 2.0 / power(&places, blocks),
            smallest_p_exchanging_two: None,
        })
    }

    fn residual_df(&self, blocks: usize) -> usize {
        let t = self.order;
        (t - 1) * (blocks * (t - 1)).saturating_sub(1)
    }
}

/// Fewest squares with two letters' places fixed. Reordering rows and columns changes no number, so
/// the first letter may stand on the diagonal; the second then stands on each derangement in turn.
fn completions(order: usize) -> usize {
    let mut fewest = usize::MAX;
    let mut shift: Vec<usize> = Vec::new();
    each_derangement(order, &mut shift, &mut |second| {
        fewest = fewest.min(count_filled(order, second));
    });
    fewest
}

fn each_derangement(order: usize, so_far: &mut Vec<usize>, visit: &mut dyn FnMut(&[usize])) {
    if so_far.len() == order {
        return visit(so_far);
    }
    for column in 0..order {
        if column != so_far.len() && !so_far.contains(&column) {
            so_far.push(column);
            each_derangement(order, so_far, visit);
            so_far.pop();
        }
    }
}

/// Squares with letter 0 on the diagonal and letter 1 at `second[row]` in each row.
fn count_filled(order: usize, second: &[usize]) -> usize {
    fn go(square: &mut [Vec<usize>], at: usize) -> usize {
        let order = square.len();
        if at == order * order {
            return 1;
        }
        let (row, column) = (at / order, at % order);
        if square[row][column] != usize::MAX {
            return go(square, at + 1);
        }
        let mut ways = 0;
        for letter in 2..order {
            let used = square[row].contains(&letter) || square.iter().any(|r| r[column] == letter);
            if !used {
                square[row][column] = letter;
                ways += go(square, at + 1);
                square[row][column] = usize::MAX;
            }
        }
        ways
    }
    let mut square = vec![vec![usize::MAX; order]; order];
    for (row, &column) in second.iter().enumerate() {
        square[row][row] = 0;
        square[row][column] = 1;
    }
    go(&mut square, 0)
}
