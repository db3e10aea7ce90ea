//! How many allocations a design could have produced, exactly.

use std::collections::BTreeMap;

use num_bigint::{BigInt, BigUint};

use super::balanced::balanced;
use super::listing::each_allowed;
use super::scheme::Scheme;
use crate::Error;
use crate::design::Rule;

/// States the exact count under rules may hold at once.
const STATES: usize = 2_000_000;

/// Where fewer than one free draw in so many is balanced, ten thousand of them for the randomisation test take too long
/// (a few seconds at this number).
const RAREST: u32 = 2_000;

/// Number of allocations of the design that keep the rules.
///
/// Squares under rules, and blocks that do not follow each other along the walk, are listed one by one
/// and each allocation is asked [`allowed`](super::allowed), as the randomisation test does, where there are
/// at most two million without rules: one square of order 5, two of order 4, five of order 3.
///
/// Without rules: the number of one block, once for each block.
/// With rules, for designs whose plots are shuffled within blocks that follow each other along the
/// walk: blocks are chained by their first and last treatment, and blocks equal to their neighbour
/// are taken off by inclusion and exclusion over runs of equal blocks.
/// With balance along a gradient as the only rule: by the sums that it asks for.
///
/// # Errors
/// Rules on larger squares, or on more blocks that do not follow each other along the walk, where no
/// exact count is known; rules that no allocation keeps; a balance that hardly any draw has.
pub fn allocations(scheme: &Scheme, rules: &[Rule]) -> Result<BigUint, Error> {
    let blocks = u32::try_from(scheme.blocks.len()).unwrap_or(u32::MAX);
    if rules.is_empty() {
        return Ok(scheme.randomisation.number()?.pow(blocks));
    }
    let line: Vec<usize> = scheme.blocks.concat();
    let uncountable = || {
        Error::new(
            "trial.toml [design] rules",
            "the allowed allocations of this design cannot be counted exactly",
            if rules.contains(&Rule::BalancedAlongGradient) {
                "State gradient_deg, so that one direction is balanced and not two, or take the rule out."
            } else {
                "Take the rules out, or use randomised blocks formed by position."
            },
        )
    };
    let shuffles = scheme.randomisation.shuffles();
    let total = if rules == [Rule::BalancedAlongGradient] {
        balanced(scheme).map(BigInt::from)
    } else if rules.contains(&Rule::BalancedAlongGradient) {
        listed(scheme, rules)
    } else {
        match shuffles.filter(|_| scheme.lines == [line]) {
            Some(groups) => chained(scheme.blocks.len(), &groups, rules),
            None => listed(scheme, rules),
        }
    };
    let total = total
        .ok_or_else(uncountable)?
        .to_biguint()
        .filter(|n| n.bits() > 0)
        .ok_or_else(|| {
            Error::new(
                "trial.toml [design] rules",
                "no allocation keeps every rule",
                "Take a rule out, or use more treatments.",
            )
        })?;
    let free = scheme.randomisation.number()?.pow(blocks);
    if rules.contains(&Rule::BalancedAlongGradient) && &total * RAREST < free {
        return Err(Error::new(
            "trial.toml [design] rules",
            format!(
                "fewer than one draw in {RAREST} is balanced along and across the plots of so many blocks"
            ),
            "State gradient_deg, so that one direction is balanced and not two, or take the rule out: with many blocks a \
             draw is seldom lopsided.",
        ));
    }
    Ok(total)
}

/// Allocations that keep the rules, by listing all; `None` where there are too many.
fn listed(scheme: &Scheme, rules: &[Rule]) -> Option<BigInt> {
    let mut kept = 0_u64;
    each_allowed(scheme, rules, STATES, &mut |_| kept += 1)?;
    Some(BigInt::from(kept))
}

/// Number of arrangements of one block by first and last treatment.
type Ends = BTreeMap<(usize, usize), BigInt>;

/// Allowed allocations of blocks in a chain, `groups` being shuffled among themselves and each within itself in
/// every block. With runs of l equal blocks counted with the sign
/// (-1)^(l-1), what is left has no two equal neighbours.
fn chained(blocks: usize, groups: &[Vec<usize>], rules: &[Rule]) -> Option<BigInt> {
    let apart = rules.contains(&Rule::NotTwiceInARow);
    let unlike = rules.contains(&Rule::NotLikeTheBlockBefore);
    let ends = ends_of(groups, apart)?;
    // after[j]: signed number of ways for the first j blocks, by last treatment.
    let mut after: Vec<BTreeMap<usize, BigInt>> = vec![BTreeMap::new(); blocks + 1];
    for j in 1..=blocks {
        let longest = if unlike { j } else { 1 };
        for run in 1..=longest {
            let before = j - run;
            for (&(first, last), many) in &ends {
                if run > 1 && apart && first == last {
                    continue;
                }
                let ways: BigInt = if before == 0 {
                    BigInt::from(1)
                } else {
                    after[before]
                        .iter()
                        .filter(|(previous, _)| !apart || **previous != first)
                        .map(|(_, ways)| ways.clone())
                        .sum()
                };
                let signed = if run % 2 == 1 { ways } else { -ways };
                *after[j].entry(last).or_default() += many * signed;
            }
        }
    }
    Some(after[blocks].values().cloned().sum())
}

/// Arrangements of one block by first and last treatment, `None` when there are too many states.
fn ends_of(groups: &[Vec<usize>], apart: bool) -> Option<Ends> {
    // State: entries of each group still to place, group open, first and last treatment.
    type State = (Vec<Vec<usize>>, Option<usize>, usize, usize);
    let total: usize = groups.iter().map(Vec::len).sum();
    let mut states: BTreeMap<State, BigInt> = BTreeMap::new();
    states.insert(
        (groups.to_vec(), None, usize::MAX, usize::MAX),
        BigInt::from(1),
    );
    for _ in 0..total {
        let mut next: BTreeMap<State, BigInt> = BTreeMap::new();
        for ((left, open, first, last), ways) in states {
            let choices: Vec<usize> = open.map_or_else(
                || (0..left.len()).filter(|&g| !left[g].is_empty()).collect(),
                |g| vec![g],
            );
            for g in choices {
                let mut letters = left[g].clone();
                letters.dedup();
                for letter in letters {
                    if apart && letter == last {
                        continue;
                    }
                    let mut rest = left.clone();
                    let at = rest[g].iter().position(|&l| l == letter)?;
                    rest[g].remove(at);
                    let open = (!rest[g].is_empty()).then_some(g);
                    let start = if first == usize::MAX { letter } else { first };
                    *next.entry((rest, open, start, letter)).or_default() += &ways;
                }
            }
        }
        if next.len() > STATES {
            return None;
        }
        states = next;
    }
    let mut ends = Ends::new();
    for ((_, _, first, last), ways) in states {
        *ends.entry((first, last)).or_default() += ways;
    }
    Some(ends)
}
