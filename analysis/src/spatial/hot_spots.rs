//! Which places stand out with their neighbours?

use serde::Serialize;

use super::conditional_permutation::conditional_p;
use super::{SpatialWeights, check_links};
use crate::Error;
use crate::multiplicity::false_discovery_among;
use crate::results::PValue;

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
/// most 1). Where values are not whole numbers, or counting would take longer, `draws` seeded random
/// orders of the places are made; all places share them, so that their p-values hold one by one and only
/// the errors of drawing go together.
///
/// # Errors
/// When values are not finite or differ in number from the places.
pub fn hot_spots(
    values: &[f64],
    neighbours: &SpatialWeights,
    level: f64,
    draws: usize,
    seed: u64,
) -> Result<Vec<Spot>, Error> {
    check_links(values, neighbours)?;
    let binary = SpatialWeights {
        weight: vec![1.0; neighbours.to.len()],
        ..neighbours.clone()
    };
    let scores = scores(values, neighbours);
    let p: Vec<Option<PValue>> = conditional_p(values, &binary, draws, seed)
        .into_iter()
        .zip(&scores)
        .map(|(p, score)| p.filter(|_| score.is_some()))
        .collect();
    let plain: Vec<Option<f64>> = p.iter().map(|p| p.map(|p| p.value)).collect();
    let class = |gi_star: Option<f64>, q: Option<f64>| match gi_star {
        Some(z) if q.is_some_and(|q| q <= level) => {
            if z > 0.0 {
                Class::Hot
            } else {
                Class::Cold
            }
        }
        _ => Class::NotSignificant,
    };
    Ok(scores
        .into_iter()
        .zip(p)
        .zip(false_discovery_among(&plain))
        .map(|((gi_star, p), q)| Spot {
            gi_star,
            p,
            q,
            class: class(gi_star, q),
        })
        .collect())
}

/// Gi* of each place.
fn scores(values: &[f64], neighbours: &SpatialWeights) -> Vec<Option<f64>> {
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
