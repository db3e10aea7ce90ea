//! Latin squares, drawn so that every square of an order is equally likely.
//!
//! A square is *reduced* when its first row and first column run 0, 1, 2, ... Every Latin square of
//! order n comes from exactly one reduced square by one order of its columns and one order of its
//! rows below the first, so that L(n) = n! (n-1)! R(n) (Fisher and Yates 1934, "The 6 x 6 Latin
//! squares", *Proc. Camb. Phil. Soc.* 30, 492-507).
//!
//! *Orders up to 6* (at most 9408 reduced squares): all reduced squares are listed in dictionary
//! order; draw one with `below(R)`, shuffle the columns, then shuffle the rows below the first.
//! Exactly uniform.
//!
//! *Orders 7 to 11*: the Markov chain of Jacobson and Matthews (1996, "Generating uniformly
//! distributed random Latin squares", *J. Combin. Des.* 4, 405-437) from the cyclic square, whose
//! stationary distribution is uniform. It runs until n^3 proper squares have been met;
//! then rows, columns and letters are shuffled. Uniform in the limit, not proven for a finite number
//! of moves.

use halfgreen_analysis::random::{Generator, shuffle};

use crate::Error;

/// Largest order whose number of squares is known (B. D. `McKay` and I. M. Wanless 2005, *Ann. Comb.* 9, 335-344).
pub const LARGEST: usize = 11;
/// Largest order drawn from the list of reduced squares.
const LISTED: usize = 6;

/// A square, row by row.
pub type Square = Vec<Vec<usize>>;

/// Draws a Latin square of the given order.
///
/// # Errors
/// An order of 0 or above [`LARGEST`].
pub fn draw(order: usize, generator: &mut Generator) -> Result<Square, Error> {
    Ok(SquareSampler::new(order)?.draw(generator))
}

/// What many draws of one order share.
#[derive(Debug, Clone)]
pub struct SquareSampler {
    order: usize,
    /// Reduced squares in dictionary order; empty where squares come from the chain.
    reduced: Vec<Square>,
}

impl SquareSampler {
    /// Prepares draws of an order.
    ///
    /// # Errors
    /// An order of 0 or above [`LARGEST`].
    pub fn new(order: usize) -> Result<Self, Error> {
        if order == 0 || order > LARGEST {
            return Err(Error::new(
                "trial.toml [design] kind",
                format!("a Latin square of order {order} cannot be drawn"),
                format!("Use 2 to {LARGEST} treatments, or randomised blocks."),
            ));
        }
        let reduced = if order > LISTED {
            Vec::new()
        } else {
            reduced_squares(order)
        };
        Ok(Self { order, reduced })
    }

    /// Draws a square.
    pub fn draw(&self, generator: &mut Generator) -> Square {
        if self.reduced.is_empty() {
            return chain(self.order, generator);
        }
        let pick = generator.below(self.reduced.len() as u64);
        let square = &self.reduced[usize::try_from(pick).unwrap_or(0)];
        let mut columns: Vec<usize> = (0..self.order).collect();
        shuffle(generator, &mut columns);
        let mut rows: Vec<usize> = (1..self.order).collect();
        shuffle(generator, &mut rows);
        rows.insert(0, 0);
        rows.iter()
            .map(|&r| columns.iter().map(|&c| square[r][c]).collect())
            .collect()
    }
}

/// All reduced squares of an order, in dictionary order of their rows.
#[must_use]
pub fn reduced_squares(order: usize) -> Vec<Square> {
    let mut square = vec![vec![usize::MAX; order]; order];
    square[0] = (0..order).collect();
    for (i, row) in square.iter_mut().enumerate() {
        row[0] = i;
    }
    let mut found = Vec::new();
    fill(&mut square, order + 1, &mut found);
    found
}

/// All squares of an order, each row by row; for orders up to 5, above which there are too many.
pub(super) fn all_squares(order: usize) -> Vec<Vec<usize>> {
    let mut square = vec![vec![usize::MAX; order]; order];
    let mut found = Vec::new();
    fill(&mut square, 0, &mut found);
    found.into_iter().map(|square| square.concat()).collect()
}

/// Fills the cells from `at` on (counted row by row) in every way.
fn fill(square: &mut Square, at: usize, found: &mut Vec<Square>) {
    let order = square.len();
    if at >= order * order {
        found.push(square.clone());
        return;
    }
    let (row, column) = (at / order, at % order);
    if square[row][column] != usize::MAX {
        return fill(square, at + 1, found);
    }
    for letter in 0..order {
        let used = square[row][..column].contains(&letter)
            || square[..row].iter().any(|above| above[column] == letter);
        if !used {
            square[row][column] = letter;
            fill(square, at + 1, found);
            square[row][column] = usize::MAX;
        }
    }
}

/// The chain of Jacobson and Matthews on the incidence cube; an improper square has one cell at -1.
fn chain(order: usize, generator: &mut Generator) -> Square {
    let mut cube = Cube::cyclic(order);
    let mut below = |n: usize| usize::try_from(generator.below(n as u64)).unwrap_or(0);
    let mut improper: Option<[usize; 3]> = None;
    // Proper squares met, not moves, are counted: stopping at the first proper square after a fixed
    // number of moves would favour squares that improper ones lead to often.
    let visits = order.pow(3);
    let mut met = 0;
    while met < visits {
        let from = improper.unwrap_or_else(|| {
            loop {
                let cell = [below(order), below(order), below(order)];
                if cube.cells[cube.at(cell)] == 0 {
                    break cell;
                }
            }
        });
        let to = std::array::from_fn(|axis| {
            let (first, second) = cube.ones(from, axis);
            match second {
                Some(second) if below(2) == 1 => second,
                _ => first,
            }
        });
        cube.move_between(from, to);
        improper = (cube.cells[cube.at(to)] < 0).then_some(to);
        met += usize::from(improper.is_none());
    }
    let mut orders: [Vec<usize>; 3] = std::array::from_fn(|_| (0..order).collect());
    for list in &mut orders {
        shuffle(generator, list);
    }
    orders[0]
        .iter()
        .map(|&r| {
            orders[1]
                .iter()
                .map(|&c| {
                    let letter = cube.ones([r, c, 0], 2).0;
                    orders[2][letter]
                })
                .collect()
        })
        .collect()
}

/// The incidence cube of a square: the cell of row r, column c and letter s is 1 where the letter stands there.
struct Cube {
    order: usize,
    cells: Vec<i8>,
    /// Where the ones lie on each line, a bit each: of the lines along each axis by the two other places.
    ones: [Vec<u16>; 3],
}

impl Cube {
    /// That of the cyclic square.
    fn cyclic(order: usize) -> Self {
        let mut cube = Self {
            order,
            cells: vec![0; order.pow(3)],
            ones: std::array::from_fn(|_| vec![0; order * order]),
        };
        for r in 0..order {
            for c in 0..order {
                cube.add([r, c, (r + c) % order], 1);
            }
        }
        cube
    }

    fn at(&self, [r, c, s]: [usize; 3]) -> usize {
        (r * self.order + c) * self.order + s
    }

    /// Number of the line through a cell along an axis.
    fn line(&self, [r, c, s]: [usize; 3], axis: usize) -> usize {
        let (a, b) = [(c, s), (r, s), (r, c)][axis];
        a * self.order + b
    }

    #[inline]
    fn add(&mut self, cell: [usize; 3], amount: i8) {
        let at = self.at(cell);
        let was = self.cells[at];
        self.cells[at] += amount;
        if (was == 1) != (self.cells[at] == 1) {
            for (axis, place) in cell.into_iter().enumerate() {
                let line = self.line(cell, axis);
                self.ones[axis][line] ^= 1 << place;
            }
        }
    }

    /// Where the one lies on the line through a cell along an axis, and the second one, which the lines of a cell at -1 have.
    #[inline]
    fn ones(&self, cell: [usize; 3], axis: usize) -> (usize, Option<usize>) {
        let bits = self.ones[axis][self.line(cell, axis)];
        let rest = bits & bits.wrapping_sub(1);
        let second = (rest != 0).then(|| rest.trailing_zeros() as usize);
        (bits.trailing_zeros() as usize, second)
    }

    /// Adds one to a cell and to the three that differ from it in two places, and takes one from the others of the
    /// smaller cube that `from` and `to` span.
    fn move_between(&mut self, from: [usize; 3], to: [usize; 3]) {
        // Plain loops: as maps of arrays they take three times as long, and this is most of a draw.
        for (i, r) in [from[0], to[0]].into_iter().enumerate() {
            for (j, c) in [from[1], to[1]].into_iter().enumerate() {
                for (k, s) in [from[2], to[2]].into_iter().enumerate() {
                    let even = (i + j + k) % 2 == 0;
                    self.add([r, c, s], if even { 1 } else { -1 });
                }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The chain reaches all 576 squares of order 4 evenly: chi-squared on 575 degrees of freedom,
    /// upper 0.1 % point 684.3 (Wilson and Hilferty).
    #[test]
    fn the_chain_is_even_over_order_4() {
        let mut generator = Generator::new(4, 0);
        let mut seen = std::collections::BTreeMap::new();
        for _ in 0..28_800 {
            *seen.entry(chain(4, &mut generator)).or_insert(0_u32) += 1;
        }
        assert_eq!(seen.len(), 576);
        let chi2: f64 = seen
            .values()
            .map(|&o| (f64::from(o) - 50.0).powi(2) / 50.0)
            .sum();
        assert!(chi2 < 684.3, "{chi2}");
    }

    /// The places of the ones that are kept are those that a look along every line finds.
    #[test]
    fn the_ones_of_every_line_are_known_without_a_look() {
        let mut generator = Generator::new(9, 0);
        let mut cube = Cube::cyclic(7);
        let mut below = |n: usize| usize::try_from(generator.below(n as u64)).unwrap();
        let mut improper: Option<[usize; 3]> = None;
        for _ in 0..3000 {
            let from = improper.unwrap_or_else(|| [below(7), below(7), below(7)]);
            if improper.is_none() && cube.cells[cube.at(from)] != 0 {
                continue;
            }
            let to = [0, 1, 2].map(|axis| {
                let places = (0..7).filter(|i| {
                    let mut cell = from;
                    cell[axis] = *i;
                    cube.cells[cube.at(cell)] == 1
                });
                let seen: Vec<usize> = places.collect();
                let (first, second) = cube.ones(from, axis);
                let known: Vec<usize> = std::iter::once(first).chain(second).collect();
                assert_eq!(seen, known);
                seen[below(seen.len())]
            });
            cube.move_between(from, to);
            improper = (cube.cells[cube.at(to)] < 0).then_some(to);
        }
    }
}
