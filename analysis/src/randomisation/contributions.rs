//! The contribution of each arrangement of a group to each contrast, tabulated.

use ndarray::Array2;

/// Largest table that is made: beyond it, drawing at random is cheaper than tabulating.
const LARGEST: f64 = 4096.0;

/// Contributions of a group of plots: for each contrast, one value per arrangement.
#[derive(Debug, Clone)]
pub(super) struct Contributions {
    pub(super) arrangements: usize,
    /// By contrast, then by arrangement.
    pub(super) values: Vec<Vec<f64>>,
}

/// Coefficients of the contrasts: a row for each contrast, a column for each label.
pub(super) type Weights = Array2<f64>;

/// Tables for all groups, merged while they stay small; `None` if one alone is too large.
pub(super) fn tabulate(
    groups: &[Vec<usize>],
    labels: &[usize],
    scores: &[f64],
    weights: &Weights,
) -> Option<Vec<Contributions>> {
    let mut tables: Vec<Contributions> = Vec::new();
    for group in groups {
        if super::scheme::arrangements(group, labels) > LARGEST {
            return None;
        }
        let next = one(group, labels, scores, weights);
        match tables.last_mut() {
            Some(last) if (last.arrangements * next.arrangements) as f64 <= LARGEST => {
                *last = merge(last, &next);
            }
            _ => tables.push(next),
        }
    }
    Some(tables)
}

/// Contributions of one group: every distinct order of its labels.
fn one(group: &[usize], labels: &[usize], scores: &[f64], weights: &Weights) -> Contributions {
    let mut order: Vec<usize> = group.iter().map(|&p| labels[p]).collect();
    order.sort_unstable();
    let mut table = Contributions {
        arrangements: 0,
        values: vec![Vec::new(); weights.nrows()],
    };
    loop {
        table.arrangements += 1;
        for (column, weight) in table.values.iter_mut().zip(weights.rows()) {
            column.push(
                group
                    .iter()
                    .zip(&order)
                    .map(|(&p, &l)| weight[l] * scores[p])
                    .sum(),
            );
        }
        if !next_order(&mut order) {
            return table;
        }
    }
}

/// All pairs of arrangements of two tables.
fn merge(a: &Contributions, b: &Contributions) -> Contributions {
    let values = a
        .values
        .iter()
        .zip(&b.values)
        .map(|(x, y)| {
            x.iter()
                .flat_map(|x| y.iter().map(move |y| x + y))
                .collect()
        })
        .collect();
    Contributions {
        arrangements: a.arrangements * b.arrangements,
        values,
    }
}

/// Steps to the next order of a multiset in dictionary order; false after the last.
pub(super) fn next_order(order: &mut [usize]) -> bool {
    let Some(rise) = (1..order.len()).rev().find(|&i| order[i - 1] < order[i]) else {
        return false;
    };
    let pivot = rise - 1;
    let swap = (rise..order.len())
        .rev()
        .find(|&i| order[i] > order[pivot])
        .unwrap_or(rise);
    order.swap(pivot, swap);
    order[rise..].reverse();
    true
}
