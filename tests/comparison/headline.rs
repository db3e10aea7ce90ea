//! The headline test by other hands.

use halfgreen_analysis::comparison::compare;

use super::{HALF, pairs};

/// Beall's webworms (1940, Ecology 21:460-474), plots summed, the first treatment against the second and the
/// third: k and block scatter without treatment from glmmTMB 1.1.5, then R's paired t test of the transformed
/// counts (`tests/reference/make_headline.R`). Without block scatter k there is good to some six digits,
/// and t with it; with it Laplace's k stands against one by quadrature, equal to three. The first two treatments
/// differ in k by more than chance leads to expect, so that there the test parts it and t is a little nearer 0.
#[test]
fn webworms_agree_with_a_paired_t_test_of_transformed_counts() {
    let first = [47, 50, 28, 22, 18, 34, 22, 32, 14, 52, 63, 33, 40];
    let second = [9, 18, 12, 17, 8, 15, 13, 13, 10, 12, 20, 12, 5];
    let mut parted = 0;
    let third = [38, 27, 20, 14, 9, 10, 20, 13, 15, 27, 41, 29, 14];
    for (other, t, p, digits) in [
        (second, -6.845_728, 1.783e-5, 3e-5),
        (third, -5.085_507, 2.681_8e-4, 1e-3),
    ] {
        let counts: Vec<(u64, u64)> = first.into_iter().zip(other).collect();
        let (table, settings) = pairs(&counts);
        let found = compare(&table, &HALF, &settings).unwrap();
        let c = &found.contrasts[0];
        if found.own_k.shrinkage > 0.0 {
            assert!(
                c.t.unwrap() / t > 0.95 && c.t.unwrap() / t < 1.0,
                "{:?}",
                c.t
            );
            parted += 1;
            continue;
        }
        assert_eq!(c.df, 12.0);
        assert!((c.t.unwrap() / t - 1.0).abs() < digits, "{:?}", c.t);
        // Out here p moves some fifteen times as fast as t.
        assert!((c.p_model / p - 1.0).abs() < 15.0 * digits, "{}", c.p_model);
    }
    assert_eq!(parted, 1);
}

/// Sampling more of the treated plots, by as much as a limit says, brings the test to that limit.
#[test]
fn an_interval_ends_where_the_test_does() {
    let counts = [(12, 3), (30, 9), (7, 1), (18, 6), (22, 3), (9, 4)];
    let (table, settings) = pairs(&counts);
    let found = compare(&table, &HALF, &settings).unwrap();
    let interval = found.contrasts[0].interval;
    for (limit, inside) in [(interval.low, 1.001), (interval.high, 0.999)] {
        // Exposures that make the limit the ratio of no effect.
        for (shift, found_there) in [(limit * inside, false), (limit / inside, true)] {
            let mut moved = table.clone();
            let codes = moved.treatment.codes.iter().zip(&mut moved.exposure);
            for (_, exposure) in codes.filter(|(code, _)| **code == 1) {
                *exposure = shift;
            }
            let there = compare(&moved, &HALF, &settings).unwrap();
            assert_eq!(there.contrasts[0].p_model <= 0.05, found_there, "{shift}");
        }
    }
}

/// At the estimate of the test, t is 0: sampling the treated plots by as much makes the two alike.
#[test]
fn the_estimate_of_the_test_is_where_t_is_zero() {
    let (table, settings) = pairs(&[(12, 3), (30, 9), (7, 1), (18, 6), (22, 3), (9, 4)]);
    let found = compare(&table, &HALF, &settings).unwrap();
    let c = &found.contrasts[0];
    let zero = c.ratio_at_t_zero.unwrap();
    assert!(c.interval.contains(zero) && (zero / c.ratio.unwrap()).ln().abs() < 0.1);
    let mut moved = table;
    for (code, exposure) in moved.treatment.codes.iter().zip(&mut moved.exposure) {
        if *code == 1 {
            *exposure = zero;
        }
    }
    let there = compare(&moved, &HALF, &settings).unwrap();
    assert!(there.contrasts[0].t.unwrap().abs() < 1e-4);
    let (empty, settings) = pairs(&[(12, 0), (30, 0), (7, 0)]);
    let found = compare(&empty, &HALF, &settings).unwrap();
    assert_eq!(found.contrasts[0].ratio_at_t_zero, None);
}
