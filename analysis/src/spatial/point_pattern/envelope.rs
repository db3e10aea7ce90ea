//! L less the radius, compared with chance at all radii together.

use rayon::prelude::*;
use serde::Serialize;

use super::ripley::{EdgeCorrection, k_of, ripley_k};
use super::window::Window;
use crate::Error;
use crate::random::Generator;
use crate::results::PValue;
use crate::spatial::Place;
use crate::spatial::permutation::sampled;

/// L less the radius, its envelope, and one p for all radii together.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Envelope {
    /// Radii, metres.
    pub radii: Vec<f64>,
    /// L(r) - r of the points; above 0 when they lie closer together than at random.
    pub excess: Vec<f64>,
    /// Lower side of the global 95 % envelope.
    pub low: Vec<f64>,
    /// Upper side of the global 95 % envelope.
    pub high: Vec<f64>,
    /// Share of patterns at least as extreme, all radii taken together.
    pub p: PValue,
}

/// Tests complete randomness by the global rank envelope (Myllymaki et al. 2017, J. R. Stat. Soc. B 79,
/// 381-404) with ranks compared over all radii in order from the most extreme (extreme rank length), so
/// that ties are few. Points are laid at random in the window, as many as were seen. K is corrected for the edge
/// isotropically.
///
/// # Errors
/// As [`ripley_k`]; or fewer than 39 simulations, which cannot reach 5 % on two sides.
pub fn envelope(
    points: &[Place],
    window: &Window,
    radii: &[f64],
    simulations: usize,
    seed: u64,
) -> Result<Envelope, Error> {
    if simulations < 39 || radii.is_empty() {
        return Err(Error::new(
            "simulations",
            format!("{simulations} simulations at {} radii", radii.len()),
            "at least 39 at one or more radii are needed",
            "Ask for 999.",
        ));
    }
    let excess = |k: Vec<f64>| -> Vec<f64> {
        let l = |(k, r): (f64, &f64)| (k / std::f64::consts::PI).sqrt() - r;
        k.into_iter().zip(radii).map(l).collect()
    };
    let kind = EdgeCorrection::Isotropic;
    let seen = excess(ripley_k(points, window, radii, kind)?);
    let mut all: Vec<Vec<f64>> = (0..simulations)
        .into_par_iter()
        .map(|s| {
            let mut g = Generator::new(seed, s as u64);
            let laid: Vec<Place> = points.iter().map(|_| window.random_point(&mut g)).collect();
            excess(k_of(&laid, window, radii, kind))
        })
        .collect();
    all.push(seen.clone());
    let ranks = extreme_ranks(&all);
    let own = &ranks[simulations];
    let reached = ranks[..simulations].iter().filter(|r| *r <= own).count();
    // The 95 % of curves that are least extreme span the envelope.
    let mut order: Vec<usize> = (0..all.len()).collect();
    order.sort_by(|&a, &b| ranks[b].cmp(&ranks[a]).then(a.cmp(&b)));
    order.truncate(all.len() - all.len() / 20);
    let side = |pick: fn(f64, f64) -> f64, start: f64| -> Vec<f64> {
        (0..radii.len())
            .map(|r| order.iter().map(|&i| all[i][r]).fold(start, pick))
            .collect()
    };
    Ok(Envelope {
        radii: radii.to_vec(),
        excess: seen,
        low: side(f64::min, f64::INFINITY),
        high: side(f64::max, f64::NEG_INFINITY),
        p: sampled(reached, simulations),
    })
}

/// For each curve its two-sided ranks over all radii, the most extreme first.
fn extreme_ranks(curves: &[Vec<f64>]) -> Vec<Vec<usize>> {
    let radii = curves.first().map_or(0, Vec::len);
    let mut ranks = vec![vec![0; radii]; curves.len()];
    for r in 0..radii {
        let mut sorted: Vec<f64> = curves.iter().map(|c| c[r]).collect();
        sorted.sort_by(f64::total_cmp);
        for (rank, curve) in ranks.iter_mut().zip(curves) {
            // Ties share the least extreme rank, so that equal curves never count as extreme.
            let below = sorted.partition_point(|&v| v <= curve[r]);
            let above = sorted.len() - sorted.partition_point(|&v| v < curve[r]);
            rank[r] = below.min(above);
        }
    }
    for rank in &mut ranks {
        rank.sort_unstable();
    }
    ranks
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand: five curves at three radii. The first is the lowest once and the second lowest once; the last is
    /// the highest twice; the middle one is extreme nowhere but where two curves tie.
    #[test]
    fn the_most_extreme_rank_comes_first_and_ties_are_spared() {
        let curves = [
            vec![1.0, 2.0, 3.0],
            vec![2.0, 1.0, 3.0],
            vec![3.0, 3.0, 3.0],
            vec![4.0, 4.0, 5.0],
            vec![5.0, 5.0, 4.0],
        ];
        let expected = [[1, 2, 3], [1, 2, 3], [3, 3, 3], [1, 2, 2], [1, 1, 2]];
        assert_eq!(extreme_ranks(&curves), expected);
    }
}
