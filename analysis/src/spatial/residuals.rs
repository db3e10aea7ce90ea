//! Are residuals of a trial tied in space, once treatments have taken their means?

use super::SpatialWeights;
use super::cross_products::CrossProducts;
use super::permutation::{permute, sampled};
use crate::Error;
use crate::random::Generator;
use crate::results::PValue;

/// Moran's I of residuals with a p-value that knows treatment means were fitted.
///
/// `fitted` gives each plot's treatment as a number from 0. Residuals of one treatment are exchanged
/// among that treatment's plots only: a permutation of the values within a treatment leaves every
/// treatment mean as it was, so the re-fitted residuals are the permuted ones and the null has the
/// negative correlation that fitting puts in (Cliff & Ord 1981, ch. 8; Winkler et al. 2014,
/// Neuroimage 92, 381-397, on exchangeability within groups). Returns `(I, p)`, two-sided about the
/// permutation mean, or `None` when all residuals are zero or nobody has a neighbour.
///
/// # Errors
/// When the three inputs differ in length or no permutation is asked for.
pub fn moran_of_residuals(
    residuals: &[f64],
    fitted: &[usize],
    neighbours: &SpatialWeights,
    permutations: usize,
    seed: u64,
) -> Result<Option<(f64, PValue)>, Error> {
    let n = residuals.len();
    if fitted.len() != n || neighbours.places() != n || permutations == 0 {
        return Err(Error::new(
            "residuals",
            format!(
                "{n} residuals, {} treatments, {} places, {permutations} permutations",
                fitted.len(),
                neighbours.places()
            ),
            "there must be one of each for every plot and at least one permutation",
            "Pass the same plots to all three.",
        ));
    }
    let mut groups = vec![Vec::new(); fitted.iter().max().map_or(0, |m| m + 1)];
    for (plot, &treatment) in fitted.iter().enumerate() {
        groups[treatment].push(plot);
    }
    let mut z = residuals.to_vec();
    for group in groups.iter().filter(|g| !g.is_empty()) {
        let mean = group.iter().map(|&i| z[i]).sum::<f64>() / group.len() as f64;
        for &i in group {
            z[i] -= mean;
        }
    }
    let square: f64 = z.iter().map(|v| v * v).sum();
    let s0 = neighbours.sums().s0;
    if square == 0.0 || s0 == 0.0 {
        return Ok(None);
    }
    let sums = CrossProducts::new(neighbours);
    let moran = |z: &[f64]| n as f64 / s0 * sums.of(z).0 / square;
    let observed = moran(&z);
    let draws: Vec<f64> = (0..permutations)
        .map(|draw| {
            let mut generator = Generator::new(seed, draw as u64);
            let mut order = z.clone();
            for group in &groups {
                let mut members: Vec<f64> = group.iter().map(|&i| z[i]).collect();
                permute(&mut generator, &mut members);
                group.iter().zip(members).for_each(|(&i, v)| order[i] = v);
            }
            moran(&order)
        })
        .collect();
    let mean = (draws.iter().sum::<f64>() + observed) / (permutations as f64 + 1.0);
    let far = (observed - mean).abs() * (1.0 - 1e-10);
    let reached = draws.iter().filter(|d| (*d - mean).abs() >= far).count();
    Ok(Some((observed, sampled(reached, permutations))))
}
