//! Permutation tests on maps of counts, on the grids of `tests/reference/spatial`.

use divan::Bencher;
use halfgreen_analysis::random::Generator;
use halfgreen_analysis::spatial::autocorrelation::{autocorrelation, correlogram};
use halfgreen_analysis::spatial::hot_spots::hot_spots;
use halfgreen_analysis::spatial::regularity::regularity;
use halfgreen_analysis::spatial::{Place, SpatialWeights};

fn main() {
    divan::main();
}

/// A square grid of clumped counts: two in three places are empty, the others hold up to 29.
fn map(side: u32) -> (Vec<Place>, Vec<f64>) {
    let mut generator = Generator::new(1, 0);
    let places = (0..side * side).map(|i| (f64::from(i % side), f64::from(i / side)));
    let count = |_| match generator.below(3) {
        0 => generator.below(30) as f64,
        _ => 0.0,
    };
    (places.collect(), (0..side * side).map(count).collect())
}

#[divan::bench(args = [10, 50])]
fn moran_9999_permutations(bencher: Bencher<'_, '_>, side: u32) {
    let (places, y) = map(side);
    let queen = SpatialWeights::queen(&places).row_standardised();
    bencher.bench(|| autocorrelation(&y, &queen, 9999, 1));
}

#[divan::bench(args = [10, 50])]
fn hot_spots_counted(bencher: Bencher<'_, '_>, side: u32) {
    let (places, y) = map(side);
    let queen = SpatialWeights::queen(&places);
    bencher.bench(|| hot_spots(&y, &queen, 0.05, 9999, 1));
}

#[divan::bench(args = [10, 50])]
fn hot_spots_drawn(bencher: Bencher<'_, '_>, side: u32) {
    let (places, y) = map(side);
    let y: Vec<f64> = y.iter().map(|v| v + 0.5).collect();
    let queen = SpatialWeights::queen(&places);
    bencher.bench(|| hot_spots(&y, &queen, 0.05, 9999, 1));
}

#[divan::bench(args = [10, 20, 30, 40])]
fn regularity_999_permutations(bencher: Bencher<'_, '_>, side: u32) {
    let (places, y) = map(side);
    bencher.bench(|| regularity(&places, &y, 999, 1));
}

#[divan::bench(args = [20, 30, 40])]
fn correlogram_999_permutations(bencher: Bencher<'_, '_>, side: u32) {
    let (places, y) = map(side);
    bencher.bench(|| correlogram(&places, &y, 8, 999, 1));
}
