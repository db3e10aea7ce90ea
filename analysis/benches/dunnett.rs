//! How long adjusted p-values and critical values take.

use divan::{Bencher, black_box};
use halfgreen_analysis::multiplicity::{
    Alternative, dunnett, lambda_from_replication, multivariate_t,
};
use ndarray::Array2;

fn main() {
    divan::main();
}

const T: [f64; 7] = [-2.9, 2.2, 1.4, 3.1, 0.6, -1.8, 2.5];

/// Equal replication: all contrasts share one `lambda`.
#[divan::bench(args = [3, 7])]
fn p_values_balanced(bencher: Bencher<'_, '_>, k: usize) {
    let lambda = vec![0.5_f64.sqrt(); k];
    bencher.bench(|| dunnett::p_values(black_box(&T[..k]), &lambda, 14.0, Alternative::TwoSided));
}

/// Every treatment with its own replication.
#[divan::bench(args = [3, 7])]
fn p_values_unbalanced(bencher: Bencher<'_, '_>, k: usize) {
    let replicates: Vec<f64> = (0..k).map(|i| 4.0 + i as f64).collect();
    let lambda = lambda_from_replication(&replicates, 6.0).unwrap_or_default();
    bencher.bench(|| dunnett::p_values(black_box(&T[..k]), &lambda, 14.0, Alternative::TwoSided));
}

#[divan::bench(args = [3, 7])]
fn critical(bencher: Bencher<'_, '_>, k: usize) {
    let lambda = vec![0.5_f64.sqrt(); k];
    bencher
        .bench(|| dunnett::critical_value(black_box(0.05), &lambda, 14.0, Alternative::TwoSided));
}

#[divan::bench(args = [3, 7])]
fn lattice(bencher: Bencher<'_, '_>, k: usize) {
    let correlation = Array2::from_shape_fn((k, k), |(i, j)| if i == j { 1.0 } else { 0.5 });
    bencher.bench(|| {
        multivariate_t::sf(
            black_box(2.5),
            &correlation,
            14.0,
            Alternative::TwoSided,
            1e-4,
            1,
        )
    });
}
