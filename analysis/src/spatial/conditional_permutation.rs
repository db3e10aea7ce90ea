//! Conditional permutation: how unusual are the neighbours of a place, its own value held?

use std::collections::BTreeMap;

use rayon::prelude::*;

use super::SpatialWeights;
use crate::random::Generator;
use crate::results::{Origin, PValue};

/// Two-sided p of the weighted total of each place's neighbours when its own value stays and those of the
/// others are arranged at random (twice the smaller tail, at most 1); `None` for an island.
///
/// Where each place weighs its neighbours alike and values are whole counts, all choices of neighbours are
/// counted. Otherwise `draws` are made.
pub(super) fn conditional_p(
    values: &[f64],
    neighbours: &SpatialWeights,
    draws: usize,
    seed: u64,
) -> Vec<Option<PValue>> {
    let alike = (0..values.len()).all(|i| {
        let mut weights = neighbours.of(i).map(|(_, w)| w);
        let first = weights.next();
        weights.all(|w| Some(w) == first)
    });
    if !alike {
        return (0..values.len())
            .into_par_iter()
            .map(|i| weighted(values, neighbours, i, draws, seed))
            .collect();
    }
    counted(values, neighbours).unwrap_or_else(|| drawn(values, neighbours, draws, seed))
}

/// Additions beyond which drawing is quicker than counting: about a second's worth.
const AFFORDABLE: f64 = 1e9;

/// `None` where values are not whole numbers from 0 or counting is too long or leaves the range of a
/// float.
fn counted(values: &[f64], neighbours: &SpatialWeights) -> Option<Vec<Option<PValue>>> {
    let whole = |v: &f64| {
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "checked to be a whole number below 2^32"
        )]
        let count = *v as u32;
        (f64::from(count) == *v).then_some(count)
    };
    let counts: Vec<u32> = values.iter().map(whole).collect::<Option<_>>()?;
    let most = (0..counts.len()).map(|i| neighbours.of(i).count()).max()?;
    let mut levels = counts.clone();
    levels.sort_unstable_by(|a, b| b.cmp(a));
    let top: f64 = levels.iter().take(most).map(|&c| f64::from(c)).sum();
    levels.dedup();
    if levels.len() as f64 * values.len() as f64 * most as f64 * top > AFFORDABLE {
        return None;
    }
    let laws: BTreeMap<u32, Vec<Vec<f64>>> = levels
        .into_par_iter()
        .filter_map(|level| {
            let at = counts.iter().position(|&c| c == level)?;
            Some((level, totals(&counts, at, most)))
        })
        .collect();
    (0..counts.len())
        .map(|i| {
            let around: Vec<u32> = neighbours.of(i).map(|(j, _)| counts[j]).collect();
            if around.is_empty() {
                return Some(None);
            }
            let total = around.iter().sum::<u32>() as usize;
            let value = two_sided(&laws.get(&counts[i])?[around.len()], total)?;
            Some(Some(PValue {
                value,
                origin: Origin::Exact,
            }))
        })
        .collect()
}

/// Number of ways, for each size up to `most`, in which that many counts other than the one at `without`
/// reach each total. Ways are relative to 2^-512 so that large choices do not overflow.
fn totals(counts: &[u32], without: usize, most: usize) -> Vec<Vec<f64>> {
    let mut sorted: Vec<u32> = counts.to_vec();
    sorted.sort_unstable_by(|a, b| b.cmp(a));
    let top = sorted.iter().take(most).sum::<u32>() as usize;
    let mut ways = vec![vec![0.0; top + 1]; most + 1];
    ways[0][0] = 2.0_f64.powi(-512);
    for (_, &c) in counts.iter().enumerate().filter(|(i, _)| *i != without) {
        let c = c as usize;
        for k in (1..=most).rev() {
            let (before, after) = ways.split_at_mut(k);
            let (from, into) = (&before[k - 1], &mut after[0]);
            for (w, f) in into[c.min(top)..].iter_mut().zip(from) {
                *w += f;
            }
        }
    }
    ways
}

/// `None` where the number of choices leaves the range of a float.
fn two_sided(law: &[f64], total: usize) -> Option<f64> {
    let all: f64 = law.iter().sum();
    let low: f64 = law[..=total].iter().sum();
    let high: f64 = law[total..].iter().sum();
    let p = (2.0 * low.min(high) / all).min(1.0);
    p.is_finite().then_some(p)
}

/// How much larger than an observed total a drawn one must be to count as larger: totals added in another
/// order differ in their last bits.
fn slack(values: &[f64]) -> f64 {
    1e-13 * values.iter().map(|v| v.abs()).sum::<f64>()
}

fn from_tails(low: usize, high: usize, draws: usize) -> PValue {
    let tail = (high.min(low) as f64 + 1.0) / (draws as f64 + 1.0);
    PValue {
        value: (2.0 * tail).min(1.0),
        origin: Origin::Sampled(draws as u64),
    }
}

/// Draws for places that weigh their neighbours alike, from one set of random orders of all places.
///
/// The first `k` of a random order, leaving out place `i`, are a random choice of `k` of the others. For
/// all but the places among those `k` that is the sum of the first `k`; for these few it is the sum of the
/// first `k + 1` less their own value. Each p comes from `draws` independent choices; only the errors of
/// drawing are shared between places. A draw costs the largest number of neighbours, however many places.
fn drawn(
    values: &[f64],
    neighbours: &SpatialWeights,
    draws: usize,
    seed: u64,
) -> Vec<Option<PValue>> {
    let n = values.len();
    let slack = slack(values);
    let sizes: Vec<usize> = (0..n).map(|i| neighbours.of(i).count()).collect();
    let totals: Vec<f64> = (0..n)
        .map(|i| neighbours.of(i).map(|(j, _)| values[j]).sum())
        .collect();
    let most = sizes.iter().copied().max().unwrap_or(0);
    let mut sums: BTreeMap<usize, Vec<f64>> = sizes
        .iter()
        .filter(|&&k| k > 0 && draws > 0)
        .map(|&k| (k, Vec::with_capacity(draws)))
        .collect();
    // What the places inside an order's beginning add to, or take from, the tails of the plain sums.
    let mut inside = vec![(0_isize, 0_isize); n];
    let mut generator = Generator::new(seed, 0);
    let mut order: Vec<usize> = (0..n).collect();
    let mut reached = vec![0.0; most + 2];
    for _ in 0..draws {
        for k in 0..n.min(most + 1) {
            let j = k + usize::try_from(generator.below((n - k) as u64)).unwrap_or(0);
            order.swap(k, j);
            reached[k + 1] = reached[k] + values[order[k]];
        }
        for (&k, sums) in &mut sums {
            sums.push(reached[k]);
        }
        for (at, &i) in order.iter().take(most).enumerate() {
            let k = sizes[i];
            if at < k {
                let (plain, own) = (reached[k], reached[k + 1] - values[i]);
                let step = |new: bool, old: bool| isize::from(new) - isize::from(old);
                let (low, high) = (totals[i] + slack, totals[i] - slack);
                inside[i].0 += step(own <= low, plain <= low);
                inside[i].1 += step(own >= high, plain >= high);
            }
        }
    }
    for sums in sums.values_mut() {
        sums.sort_unstable_by(f64::total_cmp);
    }
    (0..n)
        .map(|i| {
            let sums = sums.get(&sizes[i])?;
            let low = sums.partition_point(|&s| s <= totals[i] + slack);
            let high = draws - sums.partition_point(|&s| s < totals[i] - slack);
            Some(from_tails(
                low.saturating_add_signed(inside[i].0),
                high.saturating_add_signed(inside[i].1),
                draws,
            ))
        })
        .collect()
}

/// Draws for one place whose neighbours differ in weight, on a stream of its own.
fn weighted(
    values: &[f64],
    neighbours: &SpatialWeights,
    place: usize,
    draws: usize,
    seed: u64,
) -> Option<PValue> {
    let weights: Vec<f64> = neighbours.of(place).map(|(_, w)| w).collect();
    if weights.is_empty() || draws == 0 {
        return None;
    }
    let total: f64 = neighbours.of(place).map(|(j, w)| w * values[j]).sum();
    let mut others: Vec<f64> = values.to_vec();
    others.swap_remove(place);
    let mut generator = Generator::new(seed, place as u64);
    let slack = slack(values) * weights.iter().fold(0.0_f64, |a, w| a.max(w.abs()));
    let (mut high, mut low) = (0_usize, 0_usize);
    for _ in 0..draws {
        let mut sum = 0.0;
        for (k, w) in weights.iter().enumerate() {
            let left = (others.len() - k) as u64;
            let j = k + usize::try_from(generator.below(left)).unwrap_or(0);
            others.swap(k, j);
            sum += w * others[k];
        }
        high += usize::from(sum >= total - slack);
        low += usize::from(sum <= total + slack);
    }
    Some(from_tails(low, high, draws))
}
