//! Cores for a survey, and spacing for a map.

use halfgreen_analysis::power::survey::{Precision, VarianceLaw, precision_of, sample_size};
use halfgreen_analysis::spatial::spacing::{map_error, widest_spacing};
use halfgreen_analysis::spatial::variogram::{Shape, VariogramModel};

/// Karandinos 1976: formulas from memory, figures from an independent script, four decimals.
#[test]
fn karandinos_table() {
    let means = [0.5, 1.0, 2.0, 5.0, 10.0, 20.0];
    let half = Precision::HalfWidth {
        share: 0.25,
        level: 0.95,
    };
    let error = Precision::StandardError(0.25);
    let nb = VarianceLaw::NegativeBinomial { k: 1.5 };
    let taylor = VarianceLaw::Taylor { a: 2.0, b: 1.4 };
    for (law, precision, sizes) in [
        (
            VarianceLaw::Poisson,
            half,
            [122.9267, 61.4633, 30.7317, 12.2927, 6.1463, 3.0732],
        ),
        (
            nb,
            half,
            [163.9022, 102.4389, 71.7072, 53.2682, 47.1219, 44.0487],
        ),
        (
            taylor,
            half,
            [186.3220, 122.9267, 81.1014, 46.8020, 30.8778, 20.3717],
        ),
        (
            nb,
            error,
            [42.6667, 26.6667, 18.6667, 13.8667, 12.2667, 11.4667],
        ),
    ] {
        for (mean, size) in means.into_iter().zip(sizes) {
            let n = sample_size(law, mean, precision, None).unwrap();
            assert!((n - size).abs() < 6e-5, "{law:?} {mean}: {n} {size}");
        }
    }
    let iwao = VarianceLaw::Iwao {
        alpha: 0.5,
        beta: 1.2,
    };
    for (mean, size) in [(1.0, 104.4877), (5.0, 30.7317), (20.0, 16.9024)] {
        assert!((sample_size(iwao, mean, half, None).unwrap() - size).abs() < 6e-5);
    }
}

#[test]
fn a_small_green_needs_fewer() {
    let error = Precision::StandardError(0.25);
    let law = VarianceLaw::NegativeBinomial { k: 1.5 };
    let free = sample_size(law, 1.0, error, None).unwrap();
    let bound = sample_size(law, 1.0, error, Some(free)).unwrap();
    assert!((bound - free / 2.0).abs() < 1e-12);
    assert!((precision_of(law, 1.0, free).unwrap() - 0.25).abs() < 1e-12);
    assert!(sample_size(law, 0.0, error, None).is_err());
    assert!(sample_size(law, 1.0, Precision::StandardError(0.0), None).is_err());
}

/// Two roads: at a spacing far beyond the range the sixteen points say nothing of the middle but their
/// mean, whose error is known by hand.
#[test]
fn map_error_at_its_limits() {
    let v = VariogramModel {
        shape: Shape::Spherical,
        nugget: 0.5,
        sill: 2.0,
        range_m: 4.0,
    };
    let far = map_error(&v, 100.0).unwrap();
    let by_hand = (2.0 + (2.0 + 0.5) / 16.0_f64).sqrt();
    assert!((far - by_hand).abs() < 1e-12, "{far} {by_hand}");
    let near = map_error(&v, 0.01).unwrap();
    assert!((near - (0.5 / 16.0_f64).sqrt()).abs() < 0.02, "{near}");
    let spacing = widest_spacing(&v, 0.8, 0.5, 20.0).unwrap().unwrap();
    assert!(
        (map_error(&v, spacing).unwrap() - 0.8).abs() < 1e-3,
        "{spacing}"
    );
    assert_eq!(widest_spacing(&v, 0.01, 0.5, 20.0).unwrap(), None);
}
