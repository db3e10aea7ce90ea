//! Distances to the nearest other point, against chance.

use rayon::prelude::*;
use serde::Serialize;

use super::ripley::check;
use super::window::Window;
use crate::Error;
use crate::random::Generator;
use crate::results::PValue;
use crate::spatial::permutation::sampled;
use crate::spatial::{Place, distance};

/// Mean distance to the nearest neighbour, and how it compares with chance.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Nearest {
    /// Mean distance, metres.
    pub mean_m: f64,
    /// Over what is expected at random without an edge, 0.5 / sqrt(density): below 1 when clustered
    /// (Clark & Evans 1954).
    pub ratio: f64,
    /// Over what is expected at random within an edge of this length (Donnelly 1978).
    pub ratio_edge: f64,
    /// Two-sided p: as many points laid at random in the same window.
    pub p: PValue,
}

/// Compares nearest-neighbour distances with those of points laid at random in the window.
///
/// # Errors
/// Fewer than two points, or points outside the window.
pub fn nearest_neighbours(
    points: &[Place],
    window: &Window,
    simulations: usize,
    seed: u64,
) -> Result<Nearest, Error> {
    check(points, window)?;
    let mean_m = mean_nearest(points.to_vec());
    let n = points.len() as f64;
    let open = 0.5 * (window.area() / n).sqrt();
    // The second constant is also printed as 0.041; this one is spatstat's.
    let edge = (0.0514 + 0.0412 / n.sqrt()) * window.perimeter() / n;
    let chance: Vec<f64> = (0..simulations)
        .into_par_iter()
        .map(|s| {
            let mut g = Generator::new(seed, s as u64);
            mean_nearest(points.iter().map(|_| window.random_point(&mut g)).collect())
        })
        .collect();
    let below = chance.iter().filter(|&&m| m <= mean_m).count();
    let above = chance.iter().filter(|&&m| m >= mean_m).count();
    let mut p = sampled(below.min(above), simulations);
    p.value = (2.0 * p.value).min(1.0);
    Ok(Nearest {
        mean_m,
        ratio: mean_m / open,
        ratio_edge: mean_m / (open + edge),
        p,
    })
}

fn mean_nearest(mut points: Vec<Place>) -> f64 {
    points.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1)));
    let mut least = vec![f64::INFINITY; points.len()];
    for i in 0..points.len() {
        for j in i + 1..points.len() {
            // East of here nothing is nearer; `j` may still find a nearer one from its own side.
            if points[j].0 - points[i].0 > least[i] {
                break;
            }
            let d = distance(points[i], points[j]);
            least[i] = least[i].min(d);
            least[j] = least[j].min(d);
        }
        // Points to the west whose own search stopped before this one.
        for j in (0..i).rev() {
            if points[i].0 - points[j].0 > least[i] {
                break;
            }
            least[i] = least[i].min(distance(points[i], points[j]));
        }
    }
    least.iter().sum::<f64>() / points.len() as f64
}
