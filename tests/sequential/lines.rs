//! Lines as worked examples and formulas give them.

use halfgreen_analysis::power::survey::VarianceLaw;
use halfgreen_analysis::sequential::probability_ratio::{Levels, counts, shares};
use halfgreen_analysis::sequential::{classification, fixed_precision, presence};

fn levels(low: f64, high: f64, alpha: f64, beta: f64) -> Levels {
    Levels {
        low,
        high,
        alpha,
        beta,
    }
}

/// Waters 1955: formulas from memory, figures from an independent script, six decimals.
#[test]
fn wald_lines_for_clumped_and_poisson_counts() {
    for (levels, k, slope, lower, upper) in [
        (
            levels(1.0, 2.0, 0.1, 0.1),
            1.5,
            1.415037,
            -6.160300,
            6.160300,
        ),
        (
            levels(0.5, 1.0, 0.1, 0.1),
            1.02459,
            0.709677,
            -5.365556,
            5.365556,
        ),
        (
            levels(5.0, 10.0, 0.05, 0.1),
            2.0,
            6.993112,
            -14.604488,
            18.750302,
        ),
        (
            levels(1.0, 2.0, 0.1, 0.1),
            f64::INFINITY,
            std::f64::consts::LOG2_E,
            -3.169925,
            3.169925,
        ),
    ] {
        let got = counts(levels, k).unwrap();
        for (got, want) in [(got.slope, slope), (got.lower, lower), (got.upper, upper)] {
            assert!((got - want).abs() < 1e-6, "{levels:?} {k}: {got} {want}");
        }
    }
    // Counts 0, 3, 1, 5, 2: the log-likelihood ratio by direct summation is 1.3998826087.
    let plan = counts(levels(1.0, 2.0, 0.1, 0.1), 1.5).unwrap();
    assert!(((11.0 - 5.0 * plan.slope) * plan.weight - 1.3998826087).abs() < 1e-10);
    // A very large k is the Poisson plan.
    let near = counts(levels(1.0, 2.0, 0.1, 0.1), 1e12).unwrap();
    assert!((near.upper - 3.0_f64.ln() / 2.0_f64.sqrt().ln()).abs() < 1e-6);
}

/// Green 1970 and Kuno 1969: formulas from memory, algebra re-derived.
#[test]
fn green_and_kuno_lines() {
    let at = |d, law, n: usize| fixed_precision::lines(d, law, n).unwrap()[n - 1].upper;
    let taylor = VarianceLaw::Taylor { a: 2.0, b: 1.4 };
    for (n, want) in [
        (5, 110.3071),
        (10, 69.4891),
        (20, 43.7754),
        (50, 23.7649),
        (100, 14.9710),
    ] {
        assert!((at(0.25, taylor, n).unwrap() - want).abs() < 6e-5);
    }
    let taylor = VarianceLaw::Taylor { a: 1.5, b: 1.5 };
    for (n, want) in [
        (5, 281.25),
        (10, 140.625),
        (20, 70.3125),
        (50, 28.125),
        (100, 14.0625),
    ] {
        assert!((at(0.2, taylor, n).unwrap() - want).abs() < 1e-9);
    }
    let poisson = VarianceLaw::Taylor { a: 1.0, b: 1.0 };
    for n in [1, 7, 100] {
        assert!((at(0.1, poisson, n).unwrap() - 100.0).abs() < 1e-9);
        assert!((at(0.1, VarianceLaw::Poisson, n).unwrap() - 100.0).abs() < 1e-9);
    }
    let iwao = VarianceLaw::Iwao {
        alpha: 0.5,
        beta: 1.2,
    };
    for (n, want) in [(10, 75.0), (20, 50.0), (50, 41.6667), (100, 39.4737)] {
        assert!((at(0.2, iwao, n).unwrap() - want).abs() < 6e-5);
    }
    // At n = 5 itself the room is 0 up to rounding; before it there is no line.
    assert_eq!(at(0.2, iwao, 4), None);
    assert!(fixed_precision::lines(0.2, VarianceLaw::Taylor { a: 1.0, b: 2.0 }, 9).is_err());
}

/// Iwao 1975: formula from memory; totals to four decimals.
#[test]
fn iwao_lines() {
    let law = VarianceLaw::Iwao {
        alpha: 0.5,
        beta: 1.2,
    };
    let lines = classification::lines(5.0, law, 1.96, 50).unwrap();
    for (n, low, high) in [
        (5, 9.5048, 40.4952),
        (10, 28.0865, 71.9135),
        (20, 69.0097, 130.9903),
        (50, 201.0, 299.0),
    ] {
        let line = lines[n - 1];
        assert!((line.lower.unwrap() - low).abs() < 6e-5, "{line:?}");
        assert!((line.upper.unwrap() - high).abs() < 6e-5, "{line:?}");
    }
    // 201 and 299 are whole: the crew stops at them, not one animal later.
    let bounds = classification::bounds(5.0, law, 1.96, 50).unwrap();
    assert_eq!(bounds[49].stop_at_or_below, Some(201));
    assert_eq!(bounds[49].stop_at_or_above, Some(299));
    assert_eq!(bounds[4].stop_at_or_below, Some(9));
    assert_eq!(bounds[4].stop_at_or_above, Some(41));
}

/// Binomial plan by hand: shares 0.2 and 0.4, both errors 0.1.
#[test]
fn presence_lines() {
    let plan = shares(levels(0.2, 0.4, 0.1, 0.1)).unwrap();
    let weight = (0.4 * 0.8_f64 / (0.2 * 0.6)).ln();
    assert!((plan.slope - (0.8_f64 / 0.6).ln() / weight).abs() < 1e-12);
    assert!((plan.upper - 9.0_f64.ln() / weight).abs() < 1e-12);
    // The zero class of a negative binomial is (1 + m/k)^-k.
    let law = VarianceLaw::NegativeBinomial { k: 1.5 };
    let share = presence::occupied(2.0, law, 0);
    assert!((share - (1.0 - (1.0 + 2.0 / 1.5_f64).powf(-1.5))).abs() < 1e-10);
    assert!(presence::lines(levels(1.0, 2.0, 0.1, 0.1), law, 2).is_ok());
    assert!(presence::lines(levels(1.0, 1e9, 0.1, 0.1), VarianceLaw::Poisson, 0).is_err());
}

#[test]
fn levels_that_cannot_be_told_apart_are_refused() {
    for bad in [
        levels(2.0, 1.0, 0.1, 0.1),
        levels(1.0, 1.0, 0.1, 0.1),
        levels(0.0, 1.0, 0.1, 0.1),
        levels(1.0, 2.0, 0.0, 0.1),
        levels(1.0, 2.0, 0.5, 0.5),
    ] {
        assert!(counts(bad, 1.0).is_err(), "{bad:?}");
    }
    assert!(counts(levels(1.0, 2.0, 0.1, 0.1), 0.0).is_err());
}
