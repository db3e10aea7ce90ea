//! Which places stand out with their neighbours?

use std::collections::BTreeMap;

use serde::Serialize;

use super::Neighbours;
use crate::Error;

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
    /// Getis-Ord Gi* as a z-score; `None` on a flat map.
    pub gi_star: Option<f64>,
    /// Two-sided p of the neighbours' total with this place's own count held; `None` for an island, and where
    /// neighbourhoods and counts are so large that their totals cannot be counted out.
    pub p: Option<f64>,
    /// `p` adjusted for the number of places (Benjamini & Hochberg 1995).
    pub q: Option<f64>,
    /// Hot or cold where `q` is at most the level.
    pub class: Class,
}

/// Gi* with binary weights and the place itself included (Ord & Getis 1995, Geogr. Anal. 27, 286-306),
/// and the exact conditional p of each place: with the place's own count held, its `k` neighbours are a
/// random draw of `k` of the other counts, so the law of their total is counted rather than sampled
/// (twice the smaller tail, at most 1). Counts must be whole numbers.
///
/// # Errors
/// When counts are not whole numbers from 0 or differ in number from the places.
pub fn hot_spots(counts: &[u32], neighbours: &Neighbours, level: f64) -> Result<Vec<Spot>, Error> {
    let n = counts.len();
    if n != neighbours.places() || n == 0 {
        return Err(Error::new(
            "counts",
            format!("{n} counts for {} places", neighbours.places()),
            "every place needs one count",
            "Build the neighbours from the same places.",
        ));
    }
    let size = n as f64;
    let mean = counts.iter().map(|&c| f64::from(c)).sum::<f64>() / size;
    let spread = (counts
        .iter()
        .map(|&c| (f64::from(c) - mean).powi(2))
        .sum::<f64>()
        / size)
        .sqrt();
    let mut laws: BTreeMap<u32, Vec<Vec<f64>>> = BTreeMap::new();
    let most = (0..n).map(|i| neighbours.of(i).count()).max().unwrap_or(0);
    let largest = counts.iter().max().map_or(0.0, |&c| f64::from(c));
    // Beyond this the counting takes minutes; z still stands.
    let countable = size * most as f64 * most as f64 * largest < 2e8;
    let mut spots = Vec::with_capacity(n);
    for i in 0..n {
        let around: Vec<u32> = neighbours.of(i).map(|(j, _)| counts[j]).collect();
        let total: u32 = around.iter().sum();
        let w = around.len() as f64 + 1.0;
        let sd = spread * ((size * w - w * w) / (size - 1.0)).sqrt();
        let gi_star = (sd > 0.0).then(|| (f64::from(total + counts[i]) - w * mean) / sd);
        let p = (!around.is_empty() && spread > 0.0 && countable)
            .then(|| {
                let law = &laws
                    .entry(counts[i])
                    .or_insert_with(|| totals(counts, i, most))[around.len()];
                two_sided(law, total as usize)
            })
            .flatten();
        spots.push(Spot {
            gi_star,
            p,
            q: None,
            class: Class::NotSignificant,
        });
    }
    adjust(&mut spots, level);
    Ok(spots)
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

/// Benjamini-Hochberg q-values and classes.
fn adjust(spots: &mut [Spot], level: f64) {
    let mut order: Vec<(f64, usize)> = spots
        .iter()
        .enumerate()
        .filter_map(|(i, s)| s.p.map(|p| (p, i)))
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
