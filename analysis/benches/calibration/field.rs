//! Simulated counts of one trial.

use halfgreen_analysis::distributions::negative_binomial;
use halfgreen_analysis::numerics::cholesky::Cholesky;
use halfgreen_analysis::random::{Generator, shuffle};
use ndarray::Array2;
use rand_distr::{Distribution, StandardNormal};

use crate::cells::{Cell, Site};

/// One simulated trial: for each plot its block, treatment and count; lost plots are left out.
#[derive(Debug, Clone)]
pub(crate) struct Trial {
    pub(crate) block: Vec<usize>,
    pub(crate) treatment: Vec<usize>,
    pub(crate) counts: Vec<u64>,
}

/// Cholesky factor of the correlation of plots `treatments` abreast.
pub(crate) fn factor(cell: &Cell) -> Cholesky {
    let plots = cell.blocks * cell.treatments;
    let place = |p: usize| ((p / cell.treatments) as f64, (p % cell.treatments) as f64);
    let correlation = Array2::from_shape_fn((plots, plots), |(i, j)| {
        let ((a, b), (x, y)) = (place(i), place(j));
        (-(a - x).hypot(b - y) / 2.0).exp()
    });
    Cholesky::new(correlation, 0.0).unwrap()
}

/// Draws a trial; treatment 1 has `ratio` times the control's mean, the others the control's.
pub(crate) fn draw(
    cell: &Cell,
    correlation: Option<&Cholesky>,
    ratio: f64,
    g: &mut Generator,
) -> Trial {
    let plots = cell.blocks * cell.treatments;
    let normal = |g: &mut Generator| -> f64 { StandardNormal.sample(g) };
    let logs: Vec<f64> = if let Some(factor) = correlation {
        let z: Vec<f64> = (0..plots).map(|_| normal(g)).collect();
        (0..plots)
            .map(|i| {
                let row = factor.row(i).iter().zip(&z);
                cell.sd * row.map(|(l, z)| l * z).sum::<f64>()
            })
            .collect()
    } else {
        let z: Vec<f64> = (0..cell.blocks).map(|_| normal(g)).collect();
        (0..plots)
            .map(|p| cell.sd * z[p / cell.treatments])
            .collect()
    };
    let mut trial = Trial {
        block: Vec::new(),
        treatment: Vec::new(),
        counts: Vec::new(),
    };
    let samples = cell.samples as f64;
    for block in 0..cell.blocks {
        let mut order: Vec<usize> = (0..cell.treatments).collect();
        if cell.site == Site::Field {
            shuffle(g, &mut order);
        }
        for (place, treatment) in order.into_iter().enumerate() {
            let mean = cell.mean * logs[block * cell.treatments + place].exp();
            let effect = if treatment == 1 { ratio } else { 1.0 };
            let count = negative_binomial::draw(g, samples * mean * effect, samples * cell.k);
            if cell.site == Site::Losses && g.unit() < 0.1 {
                continue;
            }
            trial.block.push(block);
            trial.treatment.push(treatment);
            trial.counts.push(count);
        }
    }
    trial
}
