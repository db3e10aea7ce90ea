//! Simulated counts of one trial.

use halfgreen_analysis::distributions::negative_binomial;
use halfgreen_analysis::numerics::cholesky;
use halfgreen_analysis::random::{Generator, shuffle};
use rand_distr::{Distribution, StandardNormal};

use crate::cells::{Cell, Ground};

/// One simulated trial: for each plot its block, treatment and count; lost plots are left out.
#[derive(Debug, Clone)]
pub(crate) struct Trial {
    pub(crate) block: Vec<usize>,
    pub(crate) treatment: Vec<usize>,
    pub(crate) counts: Vec<u64>,
}

/// Lower triangle of the correlation of plots `treatments` abreast.
pub(crate) fn factor(cell: &Cell) -> Vec<f64> {
    let plots = cell.blocks * cell.treatments;
    let place = |p: usize| ((p / cell.treatments) as f64, (p % cell.treatments) as f64);
    let mut c = vec![0.0; plots * plots];
    for i in 0..plots {
        for j in 0..=i {
            let ((a, b), (x, y)) = (place(i), place(j));
            c[i * plots + j] = (-(a - x).hypot(b - y) / 2.0).exp();
        }
    }
    cholesky::factor(&mut c, plots, 0.0).unwrap();
    c
}

/// Draws a trial; treatment 1 has `ratio` times the control's mean, the others the control's.
pub(crate) fn draw(cell: &Cell, correlation: &[f64], ratio: f64, g: &mut Generator) -> Trial {
    let plots = cell.blocks * cell.treatments;
    let normal = |g: &mut Generator| -> f64 { StandardNormal.sample(g) };
    let logs: Vec<f64> = if cell.ground == Ground::Field {
        let z: Vec<f64> = (0..plots).map(|_| normal(g)).collect();
        (0..plots)
            .map(|i| {
                cell.sd
                    * (0..=i)
                        .map(|j| correlation[i * plots + j] * z[j])
                        .sum::<f64>()
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
    let cores = cell.cores as f64;
    for block in 0..cell.blocks {
        let mut order: Vec<usize> = (0..cell.treatments).collect();
        if cell.ground == Ground::Field {
            shuffle(g, &mut order);
        }
        for (place, treatment) in order.into_iter().enumerate() {
            let mean = cell.mean * logs[block * cell.treatments + place].exp();
            let effect = if treatment == 1 { ratio } else { 1.0 };
            let count = negative_binomial::draw(g, cores * mean * effect, cores * cell.k);
            if cell.ground == Ground::Losses && g.unit() < 0.1 {
                continue;
            }
            trial.block.push(block);
            trial.treatment.push(treatment);
            trial.counts.push(count);
        }
    }
    trial
}
