//! Step-down max-t over whole allocations (Westfall & Young 1993).

use rayon::prelude::*;

use super::allocations::{Allocations, Label};
use super::test::{Randomisation, TIE, contrast, differences, weights};
use crate::Error;
use crate::results::{Origin, PValue};

/// Tests every treatment by all allocations.
pub(super) fn all(
    scores: &[f64],
    labels: &[usize],
    allocations: &Allocations,
) -> Result<Randomisation, Error> {
    let smallest: Vec<f64> = smallest_attainable_p(labels, allocations);
    let share = |count: u64| PValue {
        value: count as f64 / allocations.len() as f64,
        origin: Origin::Exact,
    };
    test(scores, labels, allocations, smallest, share)
}

/// Tests every treatment by allocations drawn from `total`; the drawn layout itself counts as one more.
pub(super) fn sampled(
    scores: &[f64],
    labels: &[usize],
    drawn: &Allocations,
    total: f64,
    smallest_p: &[f64],
) -> Result<Randomisation, Error> {
    let top = labels.iter().copied().max().unwrap_or(0);
    let known = |t: usize| smallest_p.get(t).copied();
    let least = (0..top)
        .map(|t| known(t).unwrap_or(1.0 / total).min(1.0))
        .collect();
    let share = |count: u64| PValue {
        value: (count + 1) as f64 / (drawn.len() + 1) as f64,
        origin: Origin::Sampled(drawn.len() as u64),
    };
    let found = test(scores, labels, drawn, least, share)?;
    Ok(Randomisation {
        allocations: vec![total; top],
        ..found
    })
}

/// Tests every treatment; `share` takes a number of allocations to a p-value, which is never put below the
/// smallest attainable one.
fn test(
    scores: &[f64],
    labels: &[usize],
    allocations: &Allocations,
    smallest_attainable_p: Vec<f64>,
    share: impl Fn(u64) -> PValue,
) -> Result<Randomisation, Error> {
    let top = labels.iter().copied().max().unwrap_or(0);
    if allocations.is_empty() || allocations.plots() != labels.len() {
        return Err(Error::new(
            "allocations",
            format!(
                "{} allocations of {} plots",
                allocations.len(),
                allocations.plots()
            ),
            format!(
                "there must be some, each with a treatment for all {} plots",
                labels.len()
            ),
            "list the allocations of the plots that were counted",
        ));
    }
    let all: Vec<usize> = (1..=top).collect();
    let weights = weights(labels, &all);
    let observed: Vec<f64> = weights
        .rows()
        .into_iter()
        .map(|w| contrast(scores, labels, &w).abs())
        .collect();
    let mut order: Vec<usize> = (0..top).collect();
    order.sort_by(|&a, &b| observed[b].total_cmp(&observed[a]));
    let counts = allocations
        .par_iter()
        .map(|allocation| {
            let found: Vec<f64> = weights
                .rows()
                .into_iter()
                .map(|w| contrast(scores, allocation, &w).abs())
                .collect();
            beyond(&found, &observed, &order)
        })
        .reduce(
            || vec![0; 2 * top],
            |a, b| a.iter().zip(&b).map(|(x, y)| x + y).collect(),
        );
    let p = |count: u64, t: usize| {
        let p = share(count);
        PValue {
            value: p.value.max(smallest_attainable_p[t]),
            ..p
        }
    };
    let mut p_adjusted = vec![0.0; top];
    let mut floor = 0.0_f64;
    for &t in &order {
        floor = floor.max(p(counts[top + t], t).value);
        p_adjusted[t] = floor;
    }
    Ok(Randomisation {
        scores: scores.to_vec(),
        differences: differences(scores, labels),
        p: (0..top).map(|t| p(counts[t], t)).collect(),
        p_adjusted,
        allocations: vec![allocations.len() as f64; top],
        smallest_attainable_p,
    })
}

/// For each treatment, the share of the allocations that have it and the control on the plots where they lie,
/// or on each other's: whatever the scores, their difference in those is as large as the one found.
fn smallest_attainable_p(labels: &[usize], allocations: &Allocations) -> Vec<f64> {
    let top = labels.iter().copied().max().unwrap_or(0);
    let here = |allocation: &[Label], treatment: usize, now: usize, control: usize| {
        let same = |(&a, &l): (&Label, &usize)| {
            let a = usize::from(a);
            (a == now) == (l == treatment) && (a == control) == (l == 0)
        };
        allocation.iter().zip(labels).all(same)
    };
    let share = |t: usize| {
        let as_far = allocations
            .par_iter()
            .filter(|a| here(a, t, t, 0) || here(a, t, 0, t))
            .count();
        as_far as f64 / allocations.len() as f64
    };
    (1..=top).map(share).collect()
}

/// For each treatment, 1 if an allocation puts it as far out as it was found; then, for each, 1 if it
/// puts any treatment that was found no farther out than it that far.
fn beyond(found: &[f64], observed: &[f64], order: &[usize]) -> Vec<u64> {
    let top = found.len();
    let mut hits = vec![0; 2 * top];
    let mut largest = 0.0_f64;
    for &t in order.iter().rev() {
        let threshold = observed[t] * (1.0 - TIE);
        largest = largest.max(found[t]);
        hits[t] = u64::from(found[t] >= threshold);
        hits[top + t] = u64::from(largest >= threshold);
    }
    hits
}
