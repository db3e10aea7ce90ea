//! Every allocation that keeps the rules, one by one, where there are few enough.

use num_bigint::BigUint;

use super::counting::allocations;
use super::scheme::{Scheme, allowed};
use crate::design::Rule;

/// Shows `visit` every allocation that keeps the rules, each once; `None`, and nothing is shown, where
/// the design has more than `most` allocations without rules, or squares too large to list.
pub fn each_allowed(
    scheme: &Scheme,
    rules: &[Rule],
    most: usize,
    visit: &mut dyn FnMut(&[usize]),
) -> Option<()> {
    if allocations(scheme, &[]).ok()? > BigUint::from(most) {
        return None;
    }
    let balance = Rule::BalancedAlongGradient;
    let others: Vec<Rule> = rules.iter().copied().filter(|r| *r != balance).collect();
    let mut listing = Listing {
        scheme,
        arrangements: scheme.randomisation.each(),
        rules: others,
        reach: if rules.contains(&balance) {
            reach(scheme)
        } else {
            Vec::new()
        },
        visit,
    };
    let units = scheme.blocks.iter().map(Vec::len).sum();
    let sums = scheme.positions.no_sums(scheme.treatments);
    listing.fill(scheme.blocks.len(), &mut vec![0; units], &sums);
    Some(())
}

/// Arrangements of the blocks in all combinations, block after block from the last.
struct Listing<'a> {
    scheme: &'a Scheme,
    arrangements: Vec<Vec<usize>>,
    /// The rules that are asked of whole allocations: all but balance.
    rules: Vec<Rule>,
    /// For each direction that must be balanced, how far off 0 the sum of a treatment's scores can still be brought by
    /// so many blocks.
    reach: Vec<Vec<i64>>,
    visit: &'a mut dyn FnMut(&[usize]),
}

impl Listing<'_> {
    /// Fills the first blocks of an allocation in every way that leaves it balanced; `sums` are those of the scores of
    /// each treatment in the others, direction after direction.
    fn fill(&mut self, blocks: usize, allocation: &mut [usize], sums: &[i64]) {
        let Some(block) = blocks.checked_sub(1) else {
            if allowed(self.scheme, &self.rules, allocation) {
                (self.visit)(allocation);
            }
            return;
        };
        let units = &self.scheme.blocks[block];
        let mut with = sums.to_vec();
        for at in 0..self.arrangements.len() {
            with.copy_from_slice(sums);
            for (&unit, &treatment) in units.iter().zip(&self.arrangements[at]) {
                allocation[unit] = treatment;
                let place = (unit, treatment);
                (self.scheme.positions).add(&mut with, self.scheme.treatments, place);
            }
            if self.can_be_balanced(block, &with) {
                self.fill(block, allocation, &with);
            }
        }
    }

    /// Whether so many blocks can bring every sum back to where balance wants it.
    fn can_be_balanced(&self, blocks: usize, sums: &[i64]) -> bool {
        let of_directions = sums.chunks(self.scheme.treatments).zip(&self.reach);
        let mut directions = of_directions.zip(&self.scheme.positions.directions);
        directions.all(|((sums, reach), direction)| {
            let mut sums = sums.iter();
            sums.all(|sum| direction.keeps((sum.abs() - reach[blocks]).max(0)))
        })
    }
}

/// For each direction, how much the first blocks can add to the sum of a treatment's scores, for every number of them: the
/// scores of a block add up to 0, so no more than those above 0.
fn reach(scheme: &Scheme) -> Vec<Vec<i64>> {
    let directions = scheme.positions.directions.iter();
    let of = |scores: &[i64]| {
        let mut so_far = vec![0];
        for block in &scheme.blocks {
            let above: i64 = block.iter().map(|&unit| scores[unit].max(0)).sum();
            so_far.push(so_far[so_far.len() - 1] + above);
        }
        so_far
    };
    directions.map(|direction| of(&direction.scores)).collect()
}
