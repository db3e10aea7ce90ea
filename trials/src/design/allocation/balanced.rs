//! How many allocations lie balanced along the directions in which the ground may change, exactly.
//!
//! What balance asks is a sum over blocks, so allocations are counted by their sums: block after block, how many
//! ways lead to each set of sums. The blocks are taken in two halves, which meet where their sums make up for each
//! other.

use std::collections::BTreeMap;

use num_bigint::BigUint;

use super::positions::Direction;
use super::scheme::Scheme;

/// Most steps from one set of sums to the next, in all: a few seconds.
const STEPS: usize = 20_000_000;

/// Number of ways to each set of sums: for each direction, of each treatment but the first (what all add up to is 0).
type Ways = BTreeMap<Vec<i64>, BigUint>;

/// Number of allocations that keep the balance; `None` where counting takes too many steps.
pub(super) fn balanced(scheme: &Scheme) -> Option<BigUint> {
    let (front, back) = scheme.blocks.split_at(scheme.blocks.len() / 2);
    let mut left = STEPS;
    let front = over(scheme, front, &mut left)?;
    let back = over(scheme, back, &mut left)?;
    if front.len().checked_mul(back.len())? > left {
        return None;
    }
    let mut total = BigUint::ZERO;
    for (sums, ways) in &front {
        let meeting = within_reach(scheme, &back, sums);
        let kept = meeting.filter(|(others, _)| keeps(scheme, sums, others));
        let others: BigUint = kept.map(|(_, ways)| ways).sum();
        total += ways * others;
    }
    Some(total)
}

/// Those sums of the other half that make up for the first of these.
fn within_reach<'a>(
    scheme: &Scheme,
    others: &'a Ways,
    sums: &[i64],
) -> impl Iterator<Item = (&'a Vec<i64>, &'a BigUint)> {
    let tolerance = scheme
        .positions
        .directions
        .first()
        .map(Direction::tolerance);
    let first = sums.first().zip(tolerance);
    let from = first.map_or(Vec::new(), |(sum, tolerance)| vec![-sum - tolerance]);
    let beyond = first.map(|(sum, tolerance)| -sum + tolerance);
    let each = others.range(from..);
    each.take_while(move |(others, _)| others.first().zip(beyond).is_none_or(|(o, b)| *o <= b))
}

/// Ways to each set of sums over some blocks.
fn over(scheme: &Scheme, blocks: &[Vec<usize>], left: &mut usize) -> Option<Ways> {
    let nothing = vec![0; scheme.positions.directions.len() * (scheme.treatments - 1)];
    let mut so_far = Ways::from([(nothing, BigUint::from(1_u8))]);
    for block in blocks {
        let here = of_block(scheme, block, left)?;
        *left = left.checked_sub(so_far.len().checked_mul(here.len())?)?;
        let mut next = Ways::new();
        for (sums, ways) in &so_far {
            for (more, times) in &here {
                let both = sums.iter().zip(more).map(|(a, b)| a + b).collect();
                *next.entry(both).or_default() += ways * times;
            }
        }
        so_far = next;
    }
    Some(so_far)
}

/// Ways to each set of sums within a block: unit by unit where one list is shuffled over it, else by listing.
fn of_block(scheme: &Scheme, block: &[usize], left: &mut usize) -> Option<Ways> {
    let width = scheme.treatments - 1;
    let nothing = vec![0; scheme.positions.directions.len() * width];
    let put = |sums: &mut Vec<i64>, unit: usize, treatment: usize| {
        for (at, direction) in scheme.positions.directions.iter().enumerate() {
            if treatment > 0 {
                sums[at * width + treatment - 1] += direction.scores[unit];
            }
        }
    };
    let lists = scheme.randomisation.shuffles();
    let Some([list]) = lists.as_deref() else {
        let each = usize::try_from(scheme.randomisation.number().ok()?).ok()?;
        *left = left.checked_sub(each)?;
        let mut ways = Ways::new();
        for arrangement in scheme.randomisation.each() {
            let mut sums = nothing.clone();
            for (&unit, treatment) in block.iter().zip(arrangement) {
                put(&mut sums, unit, treatment);
            }
            *ways.entry(sums).or_default() += 1_u8;
        }
        return Some(ways);
    };
    // With the sums, how many units of each treatment are still to be placed.
    let mut still = vec![0_usize; scheme.treatments];
    for &treatment in list {
        still[treatment] += 1;
    }
    let mut states: BTreeMap<(Vec<usize>, Vec<i64>), BigUint> =
        BTreeMap::from([((still, nothing), BigUint::from(1_u8))]);
    for &unit in block {
        *left = left.checked_sub(states.len().checked_mul(scheme.treatments)?)?;
        let mut next = BTreeMap::new();
        for ((still, sums), ways) in states {
            for treatment in (0..still.len()).filter(|&t| still[t] > 0) {
                let (mut rest, mut sums) = (still.clone(), sums.clone());
                rest[treatment] -= 1;
                put(&mut sums, unit, treatment);
                *next.entry((rest, sums)).or_default() += &ways;
            }
        }
        states = next;
    }
    Some(
        states
            .into_iter()
            .map(|((_, sums), ways)| (sums, ways))
            .collect(),
    )
}

/// Whether the sums of two halves make a balanced allocation.
fn keeps(scheme: &Scheme, front: &[i64], back: &[i64]) -> bool {
    let width = scheme.treatments - 1;
    let directions = scheme.positions.directions.iter().enumerate();
    directions.into_iter().all(|(at, direction)| {
        let here = at * width..(at + 1) * width;
        let sums = front[here.clone()].iter().zip(&back[here]);
        let mut first = 0;
        let kept = sums.into_iter().all(|(a, b)| {
            first -= a + b;
            direction.keeps(a + b)
        });
        kept && direction.keeps(first)
    })
}
