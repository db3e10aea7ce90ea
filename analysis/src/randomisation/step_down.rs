//! Step-down max-t over whole allocations (Westfall & Young 1993).

use rayon::prelude::*;

use super::test::{Randomisation, TIE, contrast, differences, weights};
use crate::Error;
use crate::results::{Origin, PValue};

/// Tests every treatment by whole allocations. `total` is given where `allocations` are a sample of
/// that many; then the drawn layout itself counts as one more.
pub(super) fn test(
    scores: &[f64],
    labels: &[usize],
    allocations: &[Vec<usize>],
    total: Option<f64>,
) -> Result<Randomisation, Error> {
    let top = labels.iter().copied().max().unwrap_or(0);
    if allocations.is_empty() || allocations.iter().any(|a| a.len() != labels.len()) {
        return Err(Error::new(
            "allocations",
            format!("{} allocations", allocations.len()),
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
    let p = |count: u64| match total {
        None => count as f64 / allocations.len() as f64,
        Some(_) => (count + 1) as f64 / (allocations.len() + 1) as f64,
    };
    let origin = match total {
        None => Origin::Exact,
        Some(_) => Origin::Sampled(allocations.len() as u64),
    };
    let mut p_adjusted = vec![0.0; top];
    let mut floor = 0.0_f64;
    for &t in &order {
        floor = floor.max(p(counts[top + t]));
        p_adjusted[t] = floor;
    }
    let number = total.unwrap_or(allocations.len() as f64);
    Ok(Randomisation {
        scores: scores.to_vec(),
        differences: differences(scores, labels),
        p: (0..top)
            .map(|t| PValue {
                value: p(counts[t]),
                origin,
            })
            .collect(),
        p_adjusted,
        allocations: vec![number; top],
        // Swapping the names of treatment and control turns the furthest allocation round.
        smallest_attainable_p: vec![(2.0 / number).min(1.0); top],
    })
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
