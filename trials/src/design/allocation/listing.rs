//! Every allocation that keeps the rules, one by one, where there are few enough.

use num_bigint::BigUint;

use super::counting::allocations;
use super::scheme::{Kind, Scheme, allowed};
use super::squares::all_squares;
use crate::design::Rule;

/// Shows `visit` every allocation that keeps the rules, each once; `None`, and nothing is shown, where
/// the design has more than `most` allocations without rules, or squares too large to list.
pub(super) fn each_allowed(
    scheme: &Scheme,
    rules: &[Rule],
    most: usize,
    visit: &mut dyn FnMut(&[usize]),
) -> Option<()> {
    if allocations(scheme, &[]).ok()? > BigUint::from(most) {
        return None;
    }
    let block = of_one_block(scheme);
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

/// Every arrangement of one block.
fn of_one_block(scheme: &Scheme) -> Vec<Vec<usize>> {
    match &scheme.kind {
        Kind::Shuffled { list } => orders(list),
        Kind::Split { groups } => {
            let whole: Vec<usize> = (0..groups.len()).collect();
            let within: Vec<Vec<Vec<usize>>> = groups.iter().map(|g| orders(g)).collect();
            let filled = |order: Vec<usize>| {
                order.into_iter().fold(vec![Vec::new()], |begun, group| {
                    let longer = |b: &Vec<usize>| {
                        let begun = b.clone();
                        within[group].iter().map(move |w| [&begun[..], w].concat())
                    };
                    begun.iter().flat_map(longer).collect()
                })
            };
            orders(&whole).into_iter().flat_map(filled).collect()
        }
        Kind::Square => all_squares(scheme.treatments),
    }
}

/// Every order of a list, equal entries not told apart.
fn orders(list: &[usize]) -> Vec<Vec<usize>> {
    if list.is_empty() {
        return vec![Vec::new()];
    }
    let mut firsts = list.to_vec();
    firsts.sort_unstable();
    firsts.dedup();
    let started = |first: usize| {
        let mut rest = list.to_vec();
        if let Some(at) = rest.iter().position(|&x| x == first) {
            rest.remove(at);
        }
        let follow = move |mut order: Vec<usize>| {
            order.insert(0, first);
            order
        };
        orders(&rest).into_iter().map(follow)
    };
    firsts.into_iter().flat_map(started).collect()
}
