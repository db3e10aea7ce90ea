//! How far would counts have to move to become equal?

use rayon::prelude::*;
use serde::Serialize;

use super::permutation::{permute, sampled};
use super::transport::Ground;
use super::{Place, check};
use crate::Error;
use crate::answers::{Caution, PValue};
use crate::chance::Generator;

/// Distance to regularity and what it says.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Regularity {
    /// Least total of count times metres that makes all counts equal.
    pub distance: f64,
    /// Index of aggregation: `distance` over its mean when counts are arranged at random; above 1 when
    /// high counts lie together. `None` when all counts are equal.
    pub index: Option<f64>,
    /// Share of arrangements that need at least as much movement.
    pub p: Option<PValue>,
    /// Mean index of the places with more than the average, 1 when they lie at random.
    pub patch_index: Option<f64>,
    /// Mean index of the places with less than the average, 1 when they lie at random.
    pub gap_index: Option<f64>,
    /// Index of each place; `None` for a count equal to the mean.
    pub local: Vec<Option<f64>>,
    /// What the reader must know.
    pub cautions: Vec<Caution>,
}

/// The least total distance that makes `counts` equal (fractions allowed), exactly.
///
/// # Errors
/// As [`check`].
pub fn distance_to_regularity(places: &[Place], counts: &[f64]) -> Result<f64, Error> {
    check(places, counts)?;
    Ok(solve(&Ground::new(places), counts).0)
}

/// Distance to regularity with its permutation test (Perry 1998, Ecology 79, 26-46) and the index of
/// each place (Perry et al. 1999, Ecol. Lett. 2, 106-113): its mean flow distance times the overall
/// mean, over the mean at that place and the mean for that count, each over permutations.
///
/// # Errors
/// As [`check`].
pub fn regularity(
    places: &[Place],
    counts: &[f64],
    permutations: usize,
    seed: u64,
) -> Result<Regularity, Error> {
    check(places, counts)?;
    let ground = Ground::new(places);
    let (distance, reach) = solve(&ground, counts);
    let mut cautions = Vec::new();
    if counts.len() < 36 {
        let text = format!(
            "{} places: at least 36 are advised before distance to regularity decides anything.",
            counts.len()
        );
        cautions.push(Caution::new("few-places", text));
    }
    let draws: Vec<(f64, Vec<f64>, Vec<f64>)> = (0..permutations)
        .into_par_iter()
        .map(|draw| {
            let mut order = counts.to_vec();
            permute(&mut Generator::new(seed, draw as u64), &mut order);
            let (d, reach) = solve(&ground, &order);
            (d, reach, order)
        })
        .collect();
    let mean = draws.iter().map(|d| d.0).sum::<f64>() / permutations as f64;
    let varied = permutations > 0 && mean > 0.0;
    // Equal plans may differ in the last bits of their cost.
    let reached = draws
        .iter()
        .filter(|d| d.0 >= distance * (1.0 - 1e-10))
        .count();
    let average = counts.iter().sum::<f64>() / counts.len() as f64;
    let local = if varied {
        local(counts, &reach, &draws, average)
    } else {
        vec![None; counts.len()]
    };
    let mean_of = |above: bool| {
        let chosen: Vec<f64> = (0..counts.len())
            .filter(|&i| (counts[i] > average) == above)
            .filter_map(|i| local[i])
            .collect();
        (!chosen.is_empty()).then(|| chosen.iter().sum::<f64>() / chosen.len() as f64)
    };
    Ok(Regularity {
        distance,
        index: varied.then(|| distance / mean),
        p: varied.then(|| sampled(reached, permutations)),
        patch_index: mean_of(true),
        gap_index: mean_of(false),
        local,
        cautions,
    })
}

/// Cost, and each place's mean distance of flow.
fn solve(ground: &Ground, counts: &[f64]) -> (f64, Vec<f64>) {
    let n = counts.len() as f64;
    let total: f64 = counts.iter().sum();
    // Times n, the excesses of whole counts are whole numbers and their flows exact.
    let excess: Vec<f64> = counts.iter().map(|c| n * c - total).collect();
    let mut reach = vec![0.0; counts.len()];
    let mut cost = 0.0;
    for (from, to, amount) in ground.level(&excess) {
        let work = amount * ground.metres(from, to);
        cost += work;
        reach[from] += work / excess[from].abs();
        reach[to] += work / excess[to].abs();
    }
    (cost / n, reach)
}

fn local(
    counts: &[f64],
    reach: &[f64],
    draws: &[(f64, Vec<f64>, Vec<f64>)],
    average: f64,
) -> Vec<Option<f64>> {
    let index = |i: usize| {
        let above = counts[i] > average;
        let (mut here, mut here_n, mut same, mut same_n, mut all, mut all_n) =
            (0.0, 0.0, 0.0, 0.0, 0.0, 0.0);
        for (_, reach, order) in draws {
            for (j, (&r, &c)) in reach.iter().zip(order).enumerate() {
                if c != average && (c > average) == above {
                    all += r;
                    all_n += 1.0;
                    if j == i {
                        here += r;
                        here_n += 1.0;
                    }
                    if c == counts[i] {
                        same += r;
                        same_n += 1.0;
                    }
                }
            }
        }
        let value = reach[i] * (all / all_n) / (here / here_n) / (same / same_n);
        (counts[i] != average && value.is_finite()).then_some(value)
    };
    (0..counts.len()).into_par_iter().map(index).collect()
}
