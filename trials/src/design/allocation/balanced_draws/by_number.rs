//! Rejection by the numbers of arrangements: what balance asks of a block is worked out once for each arrangement.

use halfgreen_analysis::random::Generator;
use num_bigint::BigUint;

use crate::Error;
use crate::design::allocation::draw::{PATIENCE, unkeepable};
use crate::design::allocation::positions::Direction;
use crate::design::allocation::scheme::Scheme;

/// Most arrangements of a block that are listed: those of seven treatments.
const LISTED: u32 = 5_040;

/// Blocks as lists of their arrangements.
#[derive(Debug)]
pub(super) struct ByNumber {
    blocks: Vec<Vec<usize>>,
    /// Treatments of a block, arrangement by arrangement.
    arrangements: Vec<Vec<usize>>,
    /// For each block the sums of the scores of each treatment, direction after direction, arrangement by arrangement.
    sums: Vec<Vec<i64>>,
    /// How far off 0 the sums over all blocks may lie.
    tolerances: Vec<i64>,
}

impl ByNumber {
    /// Lists the arrangements; `None` where a block has too many.
    pub(super) fn new(scheme: &Scheme) -> Option<Self> {
        if scheme.randomisation.number().ok()? > BigUint::from(LISTED) {
            return None;
        }
        let arrangements = scheme.randomisation.each();
        let directions = &scheme.positions.directions;
        let of_block = |units: &Vec<usize>| {
            let mut sums = Vec::with_capacity(arrangements.len());
            for arrangement in &arrangements {
                for direction in directions {
                    let first = sums.len();
                    sums.resize(first + scheme.treatments, 0);
                    for (&unit, &treatment) in units.iter().zip(arrangement) {
                        sums[first + treatment] += direction.scores[unit];
                    }
                }
            }
            sums
        };
        let tolerances = directions.iter().map(Direction::tolerance);
        Some(Self {
            sums: scheme.blocks.iter().map(of_block).collect(),
            tolerances: tolerances
                .flat_map(|t| std::iter::repeat_n(t, scheme.treatments))
                .collect(),
            blocks: scheme.blocks.clone(),
            arrangements,
        })
    }

    /// Draws a treatment for every unit.
    ///
    /// # Errors
    /// A million draws in a row were not balanced.
    pub(super) fn draw(&self, generator: &mut Generator) -> Result<Vec<usize>, Error> {
        let width = self.tolerances.len();
        let (mut numbers, mut sums) = (vec![0; self.blocks.len()], vec![0; width]);
        for _ in 0..PATIENCE {
            sums.fill(0);
            for (number, of_block) in numbers.iter_mut().zip(&self.sums) {
                *number = usize::try_from(generator.below(self.arrangements.len() as u64))
                    .unwrap_or_default();
                let own = &of_block[*number * width..(*number + 1) * width];
                for (sum, own) in sums.iter_mut().zip(own) {
                    *sum += own;
                }
            }
            let mut each = sums.iter().zip(&self.tolerances);
            if each.all(|(sum, tolerance)| sum.abs() <= *tolerance) {
                return Ok(self.written_out(&numbers));
            }
        }
        Err(unkeepable())
    }

    /// The treatment of every unit.
    fn written_out(&self, numbers: &[usize]) -> Vec<usize> {
        let mut allocation = vec![0; self.blocks.iter().map(Vec::len).sum()];
        for (units, &number) in self.blocks.iter().zip(numbers) {
            for (&unit, &treatment) in units.iter().zip(&self.arrangements[number]) {
                allocation[unit] = treatment;
            }
        }
        allocation
    }
}
