//! Exact comparisons against published tables, and against counting by hand.

mod shares;

use halfgreen_analysis::exact::{
    compare_negative_binomial, compare_poisson, e_test, poisson_limits,
};
use proptest::prelude::*;

fn close(got: f64, want: f64, tolerance: f64) {
    assert!((got - want).abs() <= tolerance, "{got} is not {want}");
}

/// Garwood 1936, Biometrika 28, 437-442 (Pearson & Hartley, table 40), 95 % two-sided.
#[test]
fn limits_of_a_poisson_count() {
    for (count, low, high) in [
        (0, 0.0, 3.6889),
        (1, 0.0253, 5.5716),
        (2, 0.2422, 7.2247),
        (3, 0.6187, 8.7673),
        (4, 1.0899, 10.2416),
        (5, 1.6235, 11.6683),
        (10, 4.7954, 18.3904),
        (15, 8.3954, 24.7402),
        (20, 12.2165, 30.8884),
        (30, 20.2409, 42.8269),
        (50, 37.1110, 65.9188),
    ] {
        let limits = poisson_limits(count, 0.95);
        close(limits.low, low, 5.1e-5);
        close(limits.high, high, 5.1e-5);
    }
    // A rate example that several packages print (15 events, exposure 400).
    let limits = poisson_limits(15, 0.95);
    close(limits.low / 400.0, 0.020_988_465_3, 5e-11);
    close(limits.high / 400.0, 0.061_850_547_1, 1.01e-10);
    let limits = poisson_limits(1_000_000, 0.95);
    assert!(limits.low < 1e6 && limits.low > 997_000.0 && limits.high < 1_003_000.0);
}

/// Dodder seeds in clover (Przyborowski & Wilenski 1940, Biometrika 31, 313-323): the conditional test as exact
/// fractions, the E-test as printed by Krishnamoorthy & Thomson 2004.
#[test]
fn dodder_seeds_in_clover() {
    let none = compare_poisson([0, 3], [1.0, 1.0], 1.0, 0.95).unwrap();
    close(none.p, 0.25, 1e-12);
    close(none.p_less, 0.125, 1e-12);
    assert_eq!((none.ratio, none.interval.low), (Some(0.0), 0.0));
    let few = compare_poisson([2, 6], [1.0, 1.0], 1.0, 0.95).unwrap();
    close(few.p, 37.0 / 128.0, 1e-12);
    close(few.p_less, 37.0 / 256.0, 1e-12);
    close(e_test([0, 3], [1.0, 1.0]).unwrap(), 0.088_379_009_45, 1e-10);
    close(e_test([2, 6], [1.0, 1.0]).unwrap(), 0.174_874_82, 1e-8);
}

/// Gu, Ng, Tang & Schucany 2008, Biometrical J. 50, 283-298, both examples; digits beyond the printed ones
/// from statsmodels.
#[test]
fn two_rates_with_unequal_exposure() {
    let first = compare_poisson([60, 30], [51_477.5, 54_308.7], 1.0, 0.95).unwrap();
    close(first.ratio.unwrap(), 2.109_997_572, 1e-9);
    close(first.p, 6.751_826_59e-4, 1e-12);
    close(first.p_mid, 5.572_62e-4, 1e-9);
    close(first.score, 3.417_402, 5e-7);
    close(first.p_score, 6.322_19e-4, 1e-9);
    close(first.interval.low, 1.339_735_722, 1e-8);
    close(first.interval.high, 3.388_365_574, 1e-8);
    let second = compare_poisson([41, 15], [28_010.0, 19_017.0], 1.0, 0.95).unwrap();
    close(second.p, 0.040_852_026, 1e-9);
    close(second.p_mid, 0.034_750_614, 1e-9);
    close(second.score, 2.081_776, 5e-7);
    close(second.interval.low, 1.005_684, 5e-7);
    close(second.interval.high, 3.609_300, 5e-7);
    let shifted = compare_poisson([41, 15], [28_010.0, 19_017.0], 1.5, 0.95).unwrap();
    close(shifted.score, 0.706_631, 5e-7);
}

#[test]
fn clumped_groups_by_counting_by_hand() {
    // One animal a group on average, k = 1: every split of the sum is equally likely.
    let even = compare_negative_binomial([0, 4], [1, 1], 1.0, false).unwrap();
    close(even.p_less, 0.2, 1e-12);
    close(even.p, 1.0, 1e-12);
    // k = 2, sum 2: splits weigh 3, 4, 3.
    let split = compare_negative_binomial([0, 2], [1, 1], 2.0, false).unwrap();
    close(split.p_less, 0.3, 1e-12);
    close(split.p, 0.6, 1e-12);
    // The Poisson limit is the binomial test with the units as areas.
    let poisson = compare_poisson([41, 15], [3.0, 2.0], 1.0, 0.95).unwrap();
    for k in [f64::INFINITY, 1e9] {
        let limit = compare_negative_binomial([41, 15], [3, 2], k, false).unwrap();
        close(limit.p, poisson.p, 1e-7);
        close(limit.p_mid, poisson.p_mid, 1e-7);
    }
    // The same counts say less when they come in clumps.
    let clumped = compare_negative_binomial([41, 15], [3, 2], 0.8, true).unwrap();
    assert!(clumped.p > 5.0 * poisson.p && clumped.cautions.len() == 1);
}

#[test]
fn extremes_are_defined() {
    let nothing = compare_poisson([0, 0], [1.0, 2.0], 1.0, 0.95).unwrap();
    assert_eq!((nothing.ratio, nothing.p, nothing.score), (None, 1.0, 0.0));
    assert_eq!(
        (nothing.interval.low, nothing.interval.high),
        (0.0, f64::INFINITY)
    );
    assert_eq!(e_test([0, 0], [1.0, 1.0]).unwrap(), 1.0);
    assert_eq!(e_test([5, 5], [1.0, 1.0]).unwrap(), 1.0);
    assert_eq!(
        compare_negative_binomial([0, 0], [4, 4], 0.5, false)
            .unwrap()
            .p,
        1.0
    );
    // Counts of a million: the exact and the score test agree.
    let many = compare_poisson([1_001_000, 998_000], [1.0, 1.0], 1.0, 0.95).unwrap();
    close(many.p / many.p_score, 1.0, 2e-3);
    close(
        e_test([1_001_000, 998_000], [1.0, 1.0]).unwrap() / many.p_score,
        1.0,
        2e-3,
    );
    let clumped = compare_negative_binomial([1_000_000, 10], [8, 8], 0.5, false).unwrap();
    assert!(clumped.p > 0.0 && clumped.p < 1e-9);
    assert!(compare_poisson([1, 1], [0.0, 1.0], 1.0, 0.95).is_err());
    assert!(compare_poisson([u64::MAX, 1], [1.0, 1.0], 1.0, 0.95).is_err());
    assert!(compare_negative_binomial([1, 1], [0, 1], 1.0, false).is_err());
    assert!(compare_negative_binomial([1, 1], [1, 1], 0.0, false).is_err());
}

proptest! {
    #[test]
    fn changing_sides_changes_nothing_but_direction(
        counts in prop::array::uniform2(0..60_u64),
        area in prop::array::uniform2(0.1..10.0_f64),
        k in 0.05..50.0_f64,
    ) {
        let swapped = ([counts[1], counts[0]], [area[1], area[0]]);
        let here = compare_poisson(counts, area, 1.0, 0.95).unwrap();
        let there = compare_poisson(swapped.0, swapped.1, 1.0, 0.95).unwrap();
        prop_assert!((here.p - there.p).abs() < 1e-9);
        prop_assert!((here.p_less - there.p_greater).abs() < 1e-9);
        prop_assert!((e_test(counts, area).unwrap() - e_test(swapped.0, swapped.1).unwrap()).abs() < 1e-9);
        let here = compare_negative_binomial(counts, [3, 5], k, false).unwrap();
        let there = compare_negative_binomial(swapped.0, [5, 3], k, false).unwrap();
        prop_assert!((here.p - there.p).abs() < 1e-9);
        prop_assert!(here.p_mid <= here.p && here.p <= 1.0);
    }
}
