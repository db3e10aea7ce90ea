//! A good cutting, roll by roll.

use super::fill::{Content, fullest};
use super::problem::Steps;

/// A roll and what it holds.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Filled {
    pub(super) roll: Roll,
    pub(super) content: Content,
}

/// Where a roll comes from, by its place in the list.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Roll {
    Shed(usize),
    Sale(usize),
}

/// What the bought ones among the rolls cost.
pub(super) fn cost(problem: &Steps, rolls: &[Filled]) -> u64 {
    let each = rolls.iter().map(|r| match r.roll {
        Roll::Shed(_) => 0,
        Roll::Sale(j) => problem.sale[j].cost,
    });
    each.sum()
}

/// The cheapest of several cuttings: the shed first, longest or shortest roll before; then each sort on sale by itself, and
/// the sort that is cheapest for what it holds each time.
pub(super) fn greedy(problem: &Steps) -> Option<Vec<Filled>> {
    let mut shed: Vec<usize> = (0..problem.shed.len()).collect();
    shed.sort_by_key(|&k| problem.shed[k]);
    let sorts: Vec<Vec<usize>> = (0..problem.sale.len())
        .map(|j| vec![j])
        .chain([(0..problem.sale.len()).collect()])
        .collect();
    let mut best: Option<Vec<Filled>> = None;
    for reversed in [false, true] {
        if reversed {
            shed.reverse();
        }
        for allowed in &sorts {
            let Some(made) = filled(problem, &shed, allowed) else {
                continue;
            };
            if best
                .as_ref()
                .is_none_or(|b| cost(problem, &made) < cost(problem, b))
            {
                best = Some(made);
            }
        }
    }
    best
}

/// Fills rolls until no strip is left; nothing where a strip fits on none of the sorts allowed.
fn filled(problem: &Steps, shed: &[usize], allowed: &[usize]) -> Option<Vec<Filled>> {
    let mut counts = problem.counts.clone();
    let mut rolls = Vec::new();
    for &k in shed {
        let fits = |i: &usize| counts[*i] > 0 && problem.lengths[*i] <= problem.shed[k];
        if let Some(first) = (0..counts.len()).find(fits) {
            let content = fullest(&problem.lengths, &counts, first, problem.shed[k]);
            taken(&mut counts, &content);
            let roll = Roll::Shed(k);
            rolls.push(Filled { roll, content });
        }
    }
    while let Some(first) = counts.iter().position(|&n| n > 0) {
        let long = |j: &&usize| problem.sale[**j].length_mm >= problem.lengths[first];
        let each = allowed.iter().filter(long).map(|&j| {
            let content = fullest(&problem.lengths, &counts, first, problem.sale[j].length_mm);
            (j, length(problem, &content), content)
        });
        // Cost over length held, compared crosswise.
        let (_, _, content) = each.min_by(|a, b| {
            let left = u128::from(problem.sale[a.0].cost) * u128::from(b.1);
            let right = u128::from(problem.sale[b.0].cost) * u128::from(a.1);
            left.cmp(&right)
        })?;
        taken(&mut counts, &content);
        let roll = Roll::Sale(cheapest(problem, length(problem, &content))?);
        rolls.push(Filled { roll, content });
    }
    Some(rolls)
}

/// The cheapest sort on sale that is long enough.
fn cheapest(problem: &Steps, length: u64) -> Option<usize> {
    let long = (0..problem.sale.len()).filter(|&j| problem.sale[j].length_mm >= length);
    long.min_by_key(|&j| (problem.sale[j].cost, problem.sale[j].length_mm))
}

fn length(problem: &Steps, content: &[u32]) -> u64 {
    let each = problem.lengths.iter().zip(content);
    each.map(|(l, &n)| l * u64::from(n)).sum()
}

pub(super) fn taken(counts: &mut [u32], content: &[u32]) {
    counts.iter_mut().zip(content).for_each(|(c, n)| *c -= n);
}
