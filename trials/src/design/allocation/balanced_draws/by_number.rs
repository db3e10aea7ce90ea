//! Rejection by the numbers of arrangements: what balance asks of a block is worked out once for each arrangement.
//!
//! Rejection leaves all that is kept equally likely: von Neumann 1951, "Various techniques used in connection with random digits",
//! *National Bureau of Standards, Applied Mathematics Series* 12, 36-38 (from memory).

use halfgreen_analysis::random::Generator;
use num_bigint::BigUint;

use crate::Error;
use crate::design::allocation::draw::{PATIENCE, unkeepable};
use crate::design::allocation::positions::Positions;
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
    positions: Positions,
    treatments: usize,
}

impl ByNumber {
    /// Lists the arrangements; `None` where a block has too many.
    pub(super) fn new(scheme: &Scheme) -> Option<Self> {
        if scheme.randomisation.number().ok()? > BigUint::from(LISTED) {
            return None;
        }
        let arrangements = scheme.randomisation.each();
        let (positions, treatments) = (scheme.positions.clone(), scheme.treatments);
        let of_block = |units: &Vec<usize>| {
            let of = |arrangement: &Vec<usize>| {
                let mut sums = positions.no_sums(treatments);
                for (&unit, &treatment) in units.iter().zip(arrangement) {
                    positions.add(&mut sums, treatments, (unit, treatment));
                }
                sums
            };
            arrangements.iter().flat_map(of).collect()
        };
        Some(Self {
            sums: scheme.blocks.iter().map(of_block).collect(),
            positions,
            treatments,
            blocks: scheme.blocks.clone(),
            arrangements,
        })
    }

    /// Draws a treatment for every unit.
    ///
    /// # Errors
    /// A million draws in a row were not balanced.
    pub(super) fn draw(&self, generator: &mut Generator) -> Result<Vec<usize>, Error> {
        let mut numbers = vec![0; self.blocks.len()];
        let mut sums = self.positions.no_sums(self.treatments);
        let width = sums.len();
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
            if self.positions.keep(&sums, self.treatments) {
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
