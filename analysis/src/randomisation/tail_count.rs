//! How many allocations of the reference set lie as far out as the observed one: all of them, or a sample.

use rayon::prelude::*;

use super::contributions::{self, Contributions, Weights};
use super::scheme::Scheme;
use super::test::{RandomisationSettings, contrast};
use crate::random::{Generator, shuffle};
use crate::results::{Origin, PValue};

/// Streams among which a sample is split, whatever the number of threads.
const PARTS: u64 = 32;

/// Counts allocations beyond the threshold: all of them, or a sample.
pub(super) fn beyond(
    scores: &[f64],
    labels: &[usize],
    weights: &Weights,
    scheme: &Scheme,
    threshold: f64,
    settings: &RandomisationSettings,
) -> PValue {
    let all = scheme.allocations(labels);
    let exact = all <= settings.limit as f64;
    let sampled = |beyond: u64| PValue {
        value: (beyond + 1) as f64 / (settings.draws + 1) as f64,
        origin: Origin::Sampled(settings.draws),
    };
    match scheme {
        Scheme::Listed(list) => {
            let beyond = list
                .par_iter()
                .filter(|l| lies_beyond(scores, l, weights, threshold));
            PValue {
                value: beyond.count() as f64 / all,
                origin: Origin::Exact,
            }
        }
        Scheme::Sampled { drawn, .. } => {
            let beyond = drawn
                .par_iter()
                .filter(|l| lies_beyond(scores, l, weights, threshold))
                .count();
            PValue {
                value: (beyond + 1) as f64 / (drawn.len() + 1) as f64,
                origin: Origin::Sampled(drawn.len() as u64),
            }
        }
        Scheme::Within(groups) => {
            // Plots that cannot move keep adding what they add.
            let mut fixed = vec![0.0; weights.nrows()];
            let mut moves = vec![false; labels.len()];
            groups.iter().flatten().for_each(|&p| moves[p] = true);
            for (sum, w) in fixed.iter_mut().zip(weights.rows()) {
                for plot in (0..labels.len()).filter(|&p| !moves[p]) {
                    *sum += w[labels[plot]] * scores[plot];
                }
            }
            match contributions::tabulate(groups, labels, scores, weights) {
                Some(tables) if exact => PValue {
                    value: enumerate(&tables, &fixed, threshold) as f64 / all,
                    origin: Origin::Exact,
                },
                Some(tables) => sampled(sample_tables(&tables, &fixed, threshold, settings)),
                None if exact => PValue {
                    value: enumerate_one(groups, labels, scores, weights, threshold) as f64 / all,
                    origin: Origin::Exact,
                },
                None => sampled(sample_shuffles(
                    scores, labels, weights, groups, threshold, settings,
                )),
            }
        }
    }
}

/// Whether any contrast of an allocation reaches the threshold.
fn lies_beyond<L: Copy + Into<usize>>(
    scores: &[f64],
    labels: &[L],
    weights: &Weights,
    threshold: f64,
) -> bool {
    weights
        .rows()
        .into_iter()
        .any(|w| contrast(scores, labels, &w).abs() >= threshold)
}

/// Counts over every combination of the tables' arrangements.
fn enumerate(tables: &[Contributions], fixed: &[f64], threshold: f64) -> u64 {
    let Some((last, outer)) = tables.split_last() else {
        return u64::from(fixed.iter().any(|s| s.abs() >= threshold));
    };
    let combinations: usize = outer.iter().map(|t| t.arrangements).product();
    (0..combinations)
        .into_par_iter()
        .with_min_len(64)
        .map_init(
            || (vec![0.0; fixed.len()], vec![0_u8; last.arrangements]),
            |(sums, hits), mut index| {
                sums.copy_from_slice(fixed);
                for table in outer {
                    let at = index % table.arrangements;
                    index /= table.arrangements;
                    for (sum, column) in sums.iter_mut().zip(&table.values) {
                        *sum += column[at];
                    }
                }
                if let ([sum], [column]) = (sums.as_slice(), last.values.as_slice()) {
                    return column
                        .iter()
                        .map(|v| u64::from((sum + v).abs() >= threshold))
                        .sum();
                }
                hits.fill(0);
                for (sum, column) in sums.iter().zip(&last.values) {
                    for (hit, v) in hits.iter_mut().zip(column) {
                        *hit |= u8::from((sum + v).abs() >= threshold);
                    }
                }
                hits.iter().map(|&h| u64::from(h)).sum::<u64>()
            },
        )
        .sum()
}

/// Walks every order of one large group, the others being tables of one arrangement or none.
fn enumerate_one(
    groups: &[Vec<usize>],
    labels: &[usize],
    scores: &[f64],
    weights: &Weights,
    threshold: f64,
) -> u64 {
    let mut beyond = 0;
    each_allocation(groups, labels, |l| {
        beyond += u64::from(lies_beyond(scores, l, weights, threshold));
    });
    beyond
}

/// Calls `visit` with every allocation.
pub(super) fn each_allocation(
    groups: &[Vec<usize>],
    labels: &[usize],
    mut visit: impl FnMut(&[usize]),
) {
    walk(groups, &mut labels.to_vec(), &mut visit);
}

/// Calls `visit` with every allocation, group by group.
fn walk(groups: &[Vec<usize>], present: &mut Vec<usize>, visit: &mut impl FnMut(&[usize])) {
    let Some((group, rest)) = groups.split_first() else {
        visit(present);
        return;
    };
    let mut order: Vec<usize> = group.iter().map(|&p| present[p]).collect();
    order.sort_unstable();
    loop {
        for (&p, &l) in group.iter().zip(&order) {
            present[p] = l;
        }
        walk(rest, present, visit);
        if !contributions::next_order(&mut order) {
            return;
        }
    }
}

/// Draws an arrangement from every table, many times.
fn sample_tables(
    tables: &[Contributions],
    fixed: &[f64],
    threshold: f64,
    settings: &RandomisationSettings,
) -> u64 {
    let counts = in_parts(settings, |generator, draws| {
        let mut sums = fixed.to_vec();
        let mut beyond = 0;
        for _ in 0..draws {
            sums.copy_from_slice(fixed);
            for table in tables {
                let at = usize::try_from(generator.below(table.arrangements as u64)).unwrap_or(0);
                for (sum, column) in sums.iter_mut().zip(&table.values) {
                    *sum += column[at];
                }
            }
            beyond += u64::from(sums.iter().any(|s| s.abs() >= threshold));
        }
        beyond
    });
    counts.into_iter().sum()
}

/// Draws whole allocations, many times.
fn sample_shuffles(
    scores: &[f64],
    labels: &[usize],
    weights: &Weights,
    groups: &[Vec<usize>],
    threshold: f64,
    settings: &RandomisationSettings,
) -> u64 {
    let counts = in_parts(settings, |generator, draws| {
        let mut beyond = 0;
        shuffled(labels, groups, generator, draws, |l| {
            beyond += u64::from(lies_beyond(scores, l, weights, threshold));
        });
        beyond
    });
    counts.into_iter().sum()
}

/// Calls `visit` with so many allocations drawn.
pub(super) fn shuffled(
    labels: &[usize],
    groups: &[Vec<usize>],
    generator: &mut Generator,
    draws: u64,
    mut visit: impl FnMut(&[usize]),
) {
    let mut drawn = labels.to_vec();
    let mut buffer = Vec::new();
    for _ in 0..draws {
        for group in groups {
            buffer.clear();
            buffer.extend(group.iter().map(|&p| drawn[p]));
            shuffle(generator, &mut buffer);
            for (&p, &label) in group.iter().zip(&buffer) {
                drawn[p] = label;
            }
        }
        visit(&drawn);
    }
}

/// Splits the draws among fixed streams, so that threads do not matter; what each found, in their order.
pub(super) fn in_parts<T: Send>(
    settings: &RandomisationSettings,
    find: impl Fn(&mut Generator, u64) -> T + Sync,
) -> Vec<T> {
    (0..PARTS)
        .into_par_iter()
        .map(|part| {
            let draws = settings.draws / PARTS + u64::from(part < settings.draws % PARTS);
            find(&mut Generator::new(settings.seed, part), draws)
        })
        .collect()
}
