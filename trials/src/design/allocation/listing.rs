//! Every allocation that keeps the rules, one by one, where there are few enough.

use num_bigint::BigUint;

use super::carry_over;
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
        Kind::CarryOver => {
            let names: Vec<usize> = (0..scheme.treatments).collect();
            let plots: Vec<usize> = (0..carry_over::plots(scheme.treatments)).collect();
            let base = carry_over::sequences(scheme.treatments);
            let named = |names: Vec<usize>| {
                let sequences: Vec<Vec<usize>> = base
                    .iter()
                    .map(|s| s.iter().map(|&x| names[x]).collect())
                    .collect();
                let order = move |order: &Vec<usize>| -> Vec<usize> {
                    order.iter().flat_map(|&i| sequences[i].clone()).collect()
                };
                orders(&plots).iter().map(order).collect::<Vec<_>>()
            };
            let mut all: Vec<Vec<usize>> = orders(&names).into_iter().flat_map(named).collect();
            all.sort_unstable();
            all.dedup();
            all
        }
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
