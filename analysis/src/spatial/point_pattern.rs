//! Do points, such as emergence holes, lie closer together than chance would put them?

use rayon::prelude::*;
use serde::Serialize;

use super::permutation::sampled;
use super::{Place, distance};
use crate::Error;
use crate::answers::PValue;
use crate::chance::Generator;

/// A rectangular window, metres.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Window {
    /// West, south.
    pub low: Place,
    /// East, north.
    pub high: Place,
}

/// How pairs are made good whose partners may lie beyond the window.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum EdgeCorrection {
    /// By the share of shifts that keep the pair in sight (Ohser 1983, Math. Operationsforsch. Stat. 14).
    Translation,
    /// By the share of the circle round one through the other that lies inside (Ripley 1977).
    Isotropic,
}

impl Window {
    fn sides(&self) -> Place {
        (self.high.0 - self.low.0, self.high.1 - self.low.1)
    }

    /// Area, square metres.
    #[must_use]
    pub fn area(&self) -> f64 {
        self.sides().0 * self.sides().1
    }

    fn holds(&self, p: Place) -> bool {
        p.0 >= self.low.0 && p.0 <= self.high.0 && p.1 >= self.low.1 && p.1 <= self.high.1
    }

    /// Share of the circle of radius `r` round `p` that lies inside: the arcs beyond each side are cut
    /// out, less what two neighbouring sides cut twice.
    fn share_inside(&self, p: Place, r: f64) -> f64 {
        let gaps = [
            self.high.0 - p.0,
            self.high.1 - p.1,
            p.0 - self.low.0,
            p.1 - self.low.1,
        ];
        let half = |gap: f64| if gap < r { (gap / r).acos() } else { 0.0 };
        let mut beyond: f64 = gaps.iter().map(|&g| 2.0 * half(g)).sum();
        for i in 0..4 {
            let twice = half(gaps[i]) + half(gaps[(i + 1) % 4]) - std::f64::consts::FRAC_PI_2;
            beyond -= twice.max(0.0);
        }
        1.0 - beyond / std::f64::consts::TAU
    }
}

/// Ripley's K at each radius: the mean number of further points within it over their density
/// (Ripley 1977, J. R. Stat. Soc. B 39, 172-212); pi r^2 for points laid at random. `L` is
/// sqrt(K / pi).
///
/// # Errors
/// Fewer than two points, points outside the window, or a radius beyond its shorter side.
pub fn ripley_k(
    points: &[Place],
    window: &Window,
    radii: &[f64],
    correction: EdgeCorrection,
) -> Result<Vec<f64>, Error> {
    let (w, h) = window.sides();
    let sound = points.len() >= 2
        && points.iter().all(|&p| window.holds(p))
        && radii.iter().all(|&r| r >= 0.0 && r < w.min(h));
    if !sound {
        return Err(Error::new(
            "points",
            format!("{} points in a window of {w} by {h}", points.len()),
            "there must be two or more, all inside, and radii below the shorter side",
            "Correct the window, or leave out what lies beyond it.",
        ));
    }
    Ok(k_of(points, window, radii, correction))
}

fn k_of(points: &[Place], window: &Window, radii: &[f64], correction: EdgeCorrection) -> Vec<f64> {
    let (w, h) = window.sides();
    let n = points.len() as f64;
    let most = radii.iter().copied().fold(0.0, f64::max);
    let mut sums = vec![0.0; radii.len()];
    for (i, &a) in points.iter().enumerate() {
        for &b in &points[..i] {
            let d = distance(a, b);
            if d > most {
                continue;
            }
            // Both orders of the pair.
            let weight = match correction {
                EdgeCorrection::Translation => {
                    2.0 * window.area() / ((w - (a.0 - b.0).abs()) * (h - (a.1 - b.1).abs()))
                }
                EdgeCorrection::Isotropic => {
                    1.0 / window.share_inside(a, d) + 1.0 / window.share_inside(b, d)
                }
            };
            for (sum, _) in sums.iter_mut().zip(radii).filter(|(_, r)| d <= **r) {
                *sum += weight;
            }
        }
    }
    let scale = window.area() / (n * (n - 1.0));
    sums.iter().map(|s| s * scale).collect()
}

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
/// that ties are few. Points are laid at random in the window, as many as were seen.
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
    let kind = EdgeCorrection::Translation;
    let seen = excess(ripley_k(points, window, radii, kind)?);
    let (w, h) = window.sides();
    let mut all: Vec<Vec<f64>> = (0..simulations)
        .into_par_iter()
        .map(|s| {
            let mut g = Generator::new(seed, s as u64);
            let laid: Vec<Place> = points
                .iter()
                .map(|_| (window.low.0 + w * g.unit(), window.low.1 + h * g.unit()))
                .collect();
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
