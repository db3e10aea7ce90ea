//! A Latin square drawn for each block: the block's units row by row.

use num_bigint::BigUint;

use super::attainable::Staying;
use super::combinations::{derangements, factorial};
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

/// Largest order whose squares with two letters in place are counted. From order 8 on there are billions, and a p-value
/// below 1e-8 however they spread.
const COUNTED: usize = 7;

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
        Ok(Box::new(move |generator, drawn| {
            *drawn = sampler.draw(generator).concat();
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

    /// Squares with both letters in place: the fewest over all places up to order 7; above, the mean over all
    /// places, n! times the derangements of n in number.
    fn staying(&self, _treatment: usize, _control: usize) -> Result<Staying, Error> {
        let all = self.number()?;
        let counted = (2..=COUNTED).contains(&self.order);
        Ok(Staying {
            staying: if counted {
                completions(self.order)
            } else {
                BigUint::from(1_u8)
            },
            all: if counted {
                all
            } else {
                factorial(self.order) * derangements(self.order)
            },
            exchanging: None,
            mirrored: true,
        })
    }

    fn residual_df(&self, blocks: usize) -> usize {
        let t = self.order;
        (t - 1) * (blocks * (t - 1)).saturating_sub(1)
    }
}

/// Fewest squares with two letters' places fixed. Reordering rows and columns changes no number, so the first
/// letter may stand on the diagonal, and of the derangements on which the second then stands those with cycles of the
/// same lengths are alike.
fn completions(order: usize) -> BigUint {
    let mut fewest: Option<BigUint> = None;
    each_list_of_cycles(order, order, &mut Vec::new(), &mut |cycles| {
        let found = filled(&with_cycles(cycles));
        fewest = Some(fewest.take().map_or(found.clone(), |f| f.min(found)));
    });
    fewest.unwrap_or_default()
}

/// Squares with letter 0 on the diagonal and letter 1 at `second[row]` in each row. The letters left may change
/// their names: only squares with theirs in order along the first row are counted.
fn filled(second: &[usize]) -> BigUint {
    factorial(second.len() - 2) * count_filled(second)
}

/// Every way to write `left` as a sum of lengths from 2 to `longest`, the longest first.
fn each_list_of_cycles(
    left: usize,
    longest: usize,
    so_far: &mut Vec<usize>,
    visit: &mut dyn FnMut(&[usize]),
) {
    if left == 0 {
        return visit(so_far);
    }
    for length in 2..=longest.min(left) {
        so_far.push(length);
        each_list_of_cycles(left - length, length, so_far, visit);
        so_far.pop();
    }
}

/// A derangement with cycles of these lengths.
fn with_cycles(lengths: &[usize]) -> Vec<usize> {
    let mut shift = Vec::new();
    for &length in lengths {
        let start = shift.len();
        shift.extend((0..length).map(|i| start + (i + 1) % length));
    }
    shift
}

/// Squares with letter 0 on the diagonal, letter 1 at `second[row]` in each row, and the other letters in
/// order along the first row.
fn count_filled(second: &[usize]) -> usize {
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
    let order = second.len();
    let mut square = vec![vec![usize::MAX; order]; order];
    for (row, &column) in second.iter().enumerate() {
        square[row][row] = 0;
        square[row][column] = 1;
    }
    let free = square[0].iter_mut().filter(|cell| **cell == usize::MAX);
    for (cell, letter) in free.zip(2..) {
        *cell = letter;
    }
    go(&mut square, order)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Over all derangements the squares add up to all squares with the first letter on the diagonal: L(n) / n!, the
    /// numbers of squares being published ones.
    #[test]
    fn squares_with_two_letters_in_place_add_up_to_all() {
        for order in 2..=COUNTED {
            let mut sum = BigUint::default();
            each_list_of_cycles(order, order, &mut Vec::new(), &mut |cycles| {
                // Permutations with cycles of these lengths: n! over the lengths and over how often each recurs.
                let alike = cycles.chunk_by(PartialEq::eq).map(<[_]>::len);
                let over: BigUint = alike.map(factorial).product();
                let lengths: usize = cycles.iter().product();
                sum += factorial(order) / (over * lengths) * filled(&with_cycles(cycles));
            });
            let all = Square { order }.number().unwrap();
            assert_eq!(sum * factorial(order), all, "{order}");
        }
    }
}
