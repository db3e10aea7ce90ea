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
    let block = scheme.randomisation.each();
    let units = scheme.blocks.iter().map(Vec::len).sum();
    let mut allocation = vec![0; units];
    // The arrangements chosen for the blocks are the digits of a number that counts up.
    let mut chosen = vec![0; scheme.blocks.len()];
    loop {
        for (units, &arrangement) in scheme.blocks.iter().zip(&chosen) {
            for (&unit, &treatment) in units.iter().zip(&block[arrangement]) {
                allocation[unit] = treatment;
            }
        }
        if allowed(scheme, rules, &allocation) {
            visit(&allocation);
        }
        let Some(next) = chosen.iter().position(|&a| a + 1 < block.len()) else {
            return Some(());
        };
        chosen[..next].fill(0);
        chosen[next] += 1;
    }
}
