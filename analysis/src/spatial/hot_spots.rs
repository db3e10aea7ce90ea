//! Which places stand out with their neighbours?

use std::collections::BTreeMap;

use rayon::prelude::*;
use serde::Serialize;

use super::Neighbours;
use crate::Error;
use crate::answers::{Origin, PValue};
use crate::chance::Generator;

/// What a place turned out to be.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Class {
    /// More around here than chance would put.
    Hot,
    /// Fewer around here than chance would put.
    Cold,
    /// No more and no fewer than chance would put.
    NotSignificant,
}

/// One place of a hot-spot map.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Spot {
    /// Getis-Ord Gi* as a z-score; `None` on a flat map and where all places are neighbours.
    pub gi_star: Option<f64>,
    /// Two-sided p of the neighbours' total with this place's own value held; `None` for an island and
    /// on a flat map.
    pub p: Option<PValue>,
    /// `p` adjusted for the number of places (Benjamini & Hochberg 1995).
    pub q: Option<f64>,
    /// Hot or cold where `q` is at most the level.
    pub class: Class,
}

/// Gi* with binary weights and the place itself included (Ord & Getis 1995, Geogr. Anal. 27, 286-306),
/// and the conditional p of each place: with its own value held, its `k` neighbours are a random draw of
/// `k` of the others. For whole counts the law of their total is counted (twice the smaller tail, at
/// most 1). Where values are not whole numbers, or counting would take longer, `draws` seeded draws are
/// made for each place, each place on its own stream.
///
/// # Errors
/// When values are not finite or differ in number from the places.
pub fn hot_spots(
    values: &[f64],
    neighbours: &Neighbours,
    level: f64,
    draws: usize,
    seed: u64,
) -> Result<Vec<Spot>, Error> {
    let n = values.len();
    if n != neighbours.places() || n == 0 || values.iter().any(|v| !v.is_finite()) {
        return Err(Error::new(
            "values",
            format!("{n} values for {} places", neighbours.places()),
            "every place needs one finite value",
            "Build the neighbours from the same places.",
        ));
    }
    let chances = counted(values, neighbours).unwrap_or_else(|| {
        (0..n)
            .into_par_iter()
            .map(|i| drawn(values, neighbours, i, draws, seed))
            .collect()
    });
    let mut spots: Vec<Spot> = scores(values, neighbours)
        .into_iter()
        .zip(chances)
        .map(|(gi_star, p)| Spot {
            gi_star,
            p: p.filter(|_| gi_star.is_some()),
            q: None,
            class: Class::NotSignificant,
        })
        .collect();
    adjust(&mut spots, level);
    Ok(spots)
}

/// Gi* of each place.
fn scores(values: &[f64], neighbours: &Neighbours) -> Vec<Option<f64>> {
    let n = values.len() as f64;
    let mean = values.iter().sum::<f64>() / n;
    let square = values.iter().map(|v| (v - mean).powi(2)).sum::<f64>() / n;
    // Spread below rounding of the values themselves is no spread.
    let largest = values.iter().fold(0.0_f64, |a, v| a.max(v.abs()));
    let spread = square.sqrt();
    let flat = spread <= 1e-12 * largest;
    (0..values.len())
        .map(|i| {
            let (count, total) = neighbours
                .of(i)
                .fold((1.0, values[i]), |(c, t), (j, _)| (c + 1.0, t + values[j]));
            let sd = spread * ((n * count - count * count) / (n - 1.0)).sqrt();
            (!flat && sd > 0.0).then(|| (total - count * mean) / sd)
        })
        .collect()
}

/// Additions beyond which drawing is quicker than counting: about a second's worth.
const AFFORDABLE: f64 = 1e9;

/// The counted p of every place; `None` where values are not whole numbers from 0 or counting is too
/// long or leaves the range of a float.
fn counted(values: &[f64], neighbours: &Neighbours) -> Option<Vec<Option<PValue>>> {
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

/// The sampled p of one place.
fn drawn(
    values: &[f64],
    neighbours: &Neighbours,
    place: usize,
    draws: usize,
    seed: u64,
) -> Option<PValue> {
    let around: Vec<usize> = neighbours.of(place).map(|(j, _)| j).collect();
    if around.is_empty() || draws == 0 {
        return None;
    }
    let total: f64 = around.iter().map(|&j| values[j]).sum();
    let mut others: Vec<f64> = values.to_vec();
    others.swap_remove(place);
    let mut generator = Generator::new(seed, place as u64);
    // Equal totals added in another order may differ in their last bits.
    let slack = 1e-10 * around.iter().map(|&j| values[j].abs()).sum::<f64>();
    let (mut high, mut low) = (0_usize, 0_usize);
    for _ in 0..draws {
        let mut sum = 0.0;
        for k in 0..around.len() {
            let left = (others.len() - k) as u64;
            let j = k + usize::try_from(generator.below(left)).unwrap_or(0);
            others.swap(k, j);
            sum += others[k];
        }
        high += usize::from(sum >= total - slack);
        low += usize::from(sum <= total + slack);
    }
    let tail = (high.min(low) as f64 + 1.0) / (draws as f64 + 1.0);
    Some(PValue {
        value: (2.0 * tail).min(1.0),
        origin: Origin::Sampled(draws as u64),
    })
}

/// Benjamini-Hochberg q-values and classes.
fn adjust(spots: &mut [Spot], level: f64) {
    let mut order: Vec<(f64, usize)> = spots
        .iter()
        .enumerate()
        .filter_map(|(i, s)| s.p.map(|p| (p.value, i)))
        .collect();
    order.sort_by(|a, b| a.0.total_cmp(&b.0));
    let tests = order.len() as f64;
    let mut least = 1.0_f64;
    for (rank, &(p, i)) in order.iter().enumerate().rev() {
        least = least.min(p * tests / (rank as f64 + 1.0));
        spots[i].q = Some(least);
        if least <= level {
            let hot = spots[i].gi_star.is_some_and(|z| z > 0.0);
            spots[i].class = if hot { Class::Hot } else { Class::Cold };
        }
    }
}
