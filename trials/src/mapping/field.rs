//! How dense larvae are between the places that were sampled.

use halfgreen_analysis::random::Generator;
use halfgreen_analysis::spatial::{Place, distance};

/// Density at many points: what is expected, and equally likely alternatives.
#[derive(Debug, Clone, PartialEq)]
pub struct Field {
    /// Expected larvae per core at each point.
    pub expected: Vec<f64>,
    /// Alternatives that the survey cannot tell from it, each as long as `expected`.
    pub draws: Vec<Vec<f64>>,
}

/// Alternatives drawn for intervals: their 2.5 % limits then rest on five draws each.
pub(super) const DRAWS: u64 = 200;

/// Local means: a Gaussian kernel (Nadaraya 1964, Theory Probab. Appl. 9, 141-142) as wide as the mean
/// distance from a place to its nearest neighbour. Alternatives resample the places.
pub(super) fn local_means(places: &[Place], values: &[f64], at: &[Place], seed: u64) -> Field {
    let width = spacing(places);
    let n = places.len();
    // Where all places coincide the mean is all there is.
    let weight = |a, b| {
        if width > 0.0 {
            (-0.5 * (distance(a, b) / width).powi(2)).exp()
        } else {
            1.0
        }
    };
    let rows: Vec<Vec<f64>> = at
        .iter()
        .map(|&p| places.iter().map(|&q| weight(p, q)).collect())
        .collect();
    let overall = values.iter().sum::<f64>() / n as f64;
    let smooth = |times: &[f64]| -> Vec<f64> {
        rows.iter()
            .map(|row| {
                let (mut sum, mut all) = (0.0, 0.0);
                for ((w, t), v) in row.iter().zip(times).zip(values) {
                    sum += w * t * v;
                    all += w * t;
                }
                if all > 0.0 { sum / all } else { overall }
            })
            .collect()
    };
    let draws = (0..DRAWS)
        .map(|draw| {
            let mut generator = Generator::new(seed, draw);
            let mut times = vec![0.0; n];
            for _ in 0..n {
                times[usize::try_from(generator.below(n as u64)).unwrap_or(0)] += 1.0;
            }
            smooth(&times)
        })
        .collect();
    Field {
        expected: smooth(&vec![1.0; n]),
        draws,
    }
}

/// Mean distance from a place to its nearest neighbour, metres.
fn spacing(places: &[Place]) -> f64 {
    let nearest = |i: usize| {
        (0..places.len())
            .filter(|&j| j != i)
            .map(|j| distance(places[i], places[j]))
            .fold(f64::INFINITY, f64::min)
    };
    let all: Vec<f64> = (0..places.len())
        .map(nearest)
        .filter(|d| d.is_finite())
        .collect();
    all.iter().sum::<f64>() / all.len().max(1) as f64
}
