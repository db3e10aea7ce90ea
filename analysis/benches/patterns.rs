//! How long point patterns and the regression on site covariates take.

use divan::Bencher;
use halfgreen_analysis::random::Generator;
use halfgreen_analysis::spatial::Place;
use halfgreen_analysis::spatial::point_pattern::{Window, envelope};
use halfgreen_analysis::spatial::site_covariates::covariate_regression;

fn main() {
    divan::main();
}

/// A round green of 600 square metres with 40 corners, and points on it.
fn green(n: usize) -> (Window, Vec<Place>) {
    let corner = |i: u32| {
        let (sin, cos) = (std::f64::consts::TAU * f64::from(i) / 40.0).sin_cos();
        (13.8 * cos, 13.8 * sin)
    };
    let ring: Vec<Place> = (0..40).map(corner).collect();
    let window = Window::polygon(&ring, &[]);
    let mut g = Generator::new(1, 0);
    let at = |g: &mut Generator| 19.0 * (g.unit() - 0.5);
    let points = (0..n).map(|_| (at(&mut g), at(&mut g))).collect();
    (window.unwrap_or_else(|_| std::process::abort()), points)
}

#[divan::bench(args = [100, 400])]
fn envelope_999_patterns(bencher: Bencher<'_, '_>, n: usize) {
    let (window, points) = green(n);
    let radii: Vec<f64> = (1..=40).map(|i| 0.1 * f64::from(i)).collect();
    bencher.bench(|| envelope(&points, &window, &radii, 999, 1));
}

#[divan::bench(args = [8, 16])]
fn two_site_covariates(bencher: Bencher<'_, '_>, side: u32) {
    let places: Vec<Place> = (0..side * side)
        .map(|i| (f64::from(i % side), f64::from(i / side)))
        .collect();
    let counts: Vec<u64> = (0..u64::from(side * side)).map(|i| i * 7 % 13).collect();
    let column = |step: u32| (0..side * side).map(|i| f64::from(i * step % 17)).collect();
    let columns = [
        ("wet".to_owned(), column(5)),
        ("high".to_owned(), column(3)),
    ];
    let offset = vec![0.0; counts.len()];
    bencher.bench(|| covariate_regression(&places, &counts, &offset, &columns));
}
