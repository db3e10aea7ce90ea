//! Below which cost no cutting can be.

use super::problem::Steps;

/// Weights kept for the search, those with the highest bounds.
const KEPT: usize = 8;

/// Lengths in steps beyond which the knapsacks are reckoned in coarser steps, strips rounded down: a bound stays one.
const FINEST: u64 = 5_000;

/// Weights on the strips, and the most that a roll of each length can hold of them.
#[derive(Debug, Clone)]
pub(super) struct Weights {
    /// Of a strip of each length.
    each: Vec<u64>,
    /// The most that each roll of the shed holds.
    shed: Vec<u64>,
    /// The most that a roll of each sort on sale holds, and what it costs.
    sale: Vec<(u64, u64)>,
    /// Rolls bought together: what they hold at most, and the least that as much costs; rising. Empty where there would be
    /// too many.
    together: Vec<(u64, u64)>,
}

impl Weights {
    /// Cost below which the strips left cannot be cut, from the rolls of the shed that are left and new ones.
    pub(super) fn bound(&self, counts: &[u32], shed_left: &[bool]) -> u64 {
        let strips: u64 = self
            .each
            .iter()
            .zip(counts)
            .map(|(w, &n)| w * u64::from(n))
            .sum();
        let free = self.shed.iter().zip(shed_left).filter(|(_, left)| **left);
        let owed = strips.saturating_sub(free.map(|(w, _)| w).sum());
        if owed == 0 {
            return 0;
        }
        let enough = self.together.partition_point(|&(holds, _)| holds < owed);
        if let Some(&(_, cost)) = self.together.get(enough) {
            return cost;
        }
        let share = |&(holds, cost): &(u64, u64)| {
            let all = u128::from(owed) * u128::from(cost);
            u64::try_from(all.div_ceil(u128::from(holds.max(1)))).unwrap_or(u64::MAX)
        };
        self.sale.iter().map(share).min().unwrap_or(0)
    }
}

/// Numbers of rolls bought together that are looked at: a dozen of each of four sorts.
const MOST_TOGETHER: usize = 20_000;

/// What rolls of all sorts hold together and cost, up to what is owed: of those that hold as much, the cheapest.
fn together(sale: &[(u64, u64)], owed: u64) -> Vec<(u64, u64)> {
    let mut all = vec![(0, 0)];
    for &(holds, cost) in sale.iter().filter(|(holds, _)| *holds > 0) {
        for at in 0..all.len() {
            let (mut held, mut spent): (u64, u64) = all[at];
            while held < owed {
                (held, spent) = (held + holds, spent + cost);
                all.push((held, spent));
                if all.len() > MOST_TOGETHER {
                    return Vec::new();
                }
            }
        }
    }
    // Cheapest first, and of those only what holds more than all cheaper ones.
    all.sort_by_key(|&(held, spent)| (spent, std::cmp::Reverse(held)));
    let mut most = None;
    all.retain(|&(held, _)| {
        let more = most.is_none_or(|m| held > m);
        if more {
            most = Some(held);
        }
        more
    });
    all
}

/// The weights that bound best, best first.
pub(super) fn weights(problem: &Steps) -> Vec<Weights> {
    let sale = problem.sale.iter().map(|s| s.length_mm);
    let longest = sale.chain(problem.shed.iter().copied()).max().unwrap_or(1);
    let coarse = longest.div_ceil(FINEST).max(1);
    let left = vec![true; problem.shed.len()];
    let mut all: Vec<(u64, Weights)> = rows(&problem.lengths, longest)
        .into_iter()
        .map(|each| {
            let holds = knapsack(problem, &each, longest / coarse, coarse);
            let at = |length: u64| holds.get(whole(length / coarse)).copied().unwrap_or(0);
            let counted = each.iter().zip(&problem.counts);
            let owed = counted.map(|(w, &n)| w * u64::from(n)).sum();
            let sale: Vec<_> = problem
                .sale
                .iter()
                .map(|s| (at(s.length_mm), s.cost))
                .collect();
            let weights = Weights {
                shed: problem.shed.iter().map(|&s| at(s)).collect(),
                together: together(&sale, owed),
                sale,
                each,
            };
            (weights.bound(&problem.counts, &left), weights)
        })
        .collect();
    // Stable: the plain lengths come first among equals.
    all.sort_by_key(|(bound, _)| std::cmp::Reverse(*bound));
    all.into_iter().take(KEPT).map(|(_, w)| w).collect()
}

/// Rows of weights: the lengths themselves, Fekete and Schepers' u(k) for k from 1 to 9, and Martello and Toth's
/// thresholds at the lengths up to half a roll.
fn rows(lengths: &[u64], whole: u64) -> Vec<Vec<u64>> {
    let each = |of: &dyn Fn(u64) -> u64| lengths.iter().map(|&x| of(x)).collect::<Vec<u64>>();
    let mut rows = vec![each(&|x| x)];
    for k in 1..10 {
        rows.push(each(&|x| {
            let parts = (k + 1) * x;
            if parts % whole == 0 {
                x * k
            } else {
                parts / whole * whole
            }
        }));
    }
    let halves = lengths.iter().filter(|&&l| 2 * l <= whole);
    for &limit in halves.take(THRESHOLDS) {
        rows.push(each(&|x| match x {
            _ if x > whole - limit => whole,
            _ if x < limit => 0,
            _ => x,
        }));
    }
    rows
}

/// Thresholds tried: strips of a night have few lengths.
const THRESHOLDS: usize = 20;

/// The most weight that a roll of each length can hold, strips as often as there are of them.
fn knapsack(problem: &Steps, each: &[u64], longest: u64, coarse: u64) -> Vec<u64> {
    let mut best = vec![0_u64; whole(longest) + 1];
    for ((&length, &weight), &count) in problem.lengths.iter().zip(each).zip(&problem.counts) {
        let length = whole(length / coarse);
        if length == 0 {
            // A strip below the coarse step takes no room: all of them go on every roll.
            for held in &mut best {
                *held += weight * u64::from(count);
            }
            continue;
        }
        let fits = u32::try_from(best.len() / length).unwrap_or(u32::MAX);
        for _ in 0..count.min(fits) {
            for at in (length..best.len()).rev() {
                best[at] = best[at].max(best[at - length] + weight);
            }
        }
    }
    best
}

fn whole(length: u64) -> usize {
    usize::try_from(length).unwrap_or(usize::MAX)
}
