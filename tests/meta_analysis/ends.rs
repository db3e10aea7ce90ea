//! One trial, two trials, trials alike, errors of any size, and what cannot be pooled.

use halfgreen_analysis::meta_analysis::{
    BetweenVariance, Effect, IntervalMethod, PoolOptions, Smallness, funnel, leave_one_out,
    meta_regression, pool, small_study_test,
};
use ndarray::array;
use proptest::prelude::*;

use super::{known, pooled};
use crate::closeness::close;

const ESTIMATORS: [BetweenVariance; 3] = [
    BetweenVariance::RestrictedMaximumLikelihood,
    BetweenVariance::DerSimonianLaird,
    BetweenVariance::PauleMandel,
];

#[test]
fn one_trial_comes_back_as_it_is() {
    let found = pooled(&[known(-0.7, 0.04)]);
    close("effect", found.effect, -0.7, 1e-15);
    assert_eq!((found.tau2, found.tau2_low), (0.0, 0.0));
    assert!(found.tau2_high.is_infinite() && found.prediction_low.is_none());
    // -0.7 and 1.96 times 0.2 on either side.
    close("low", found.low, -0.7 - 1.959_963_985 * 0.2, 1e-8);
    assert_eq!(
        (found.q, found.q_df, found.q_p, found.i2),
        (0.0, 0, 1.0, 0.0)
    );
    assert_eq!(found.weights, [1.0]);
    assert_eq!(found.cautions[0].code, "one-trial");
    // With three degrees of freedom of its own: t is 3.182 (any table).
    let own = Effect {
        degrees_of_freedom: Some(3.0),
        ..known(-0.7, 0.04)
    };
    close("high", pooled(&[own]).high, -0.7 + 3.182_446 * 0.2, 1e-6);
    assert!(leave_one_out(&[own], &PoolOptions::default()).is_err());
}

/// Two trials of one error: tau^2 is half the squared difference less the error, by hand.
#[test]
fn two_trials_by_hand() {
    for between in ESTIMATORS {
        let options = PoolOptions {
            between,
            ..PoolOptions::default()
        };
        let found = pool(&[known(-1.0, 0.1), known(0.0, 0.1)], &options).unwrap();
        close("tau2", found.tau2, 0.5 - 0.1, 1e-12);
        close("effect", found.effect, -0.5, 1e-12);
        // The standard error of the mean of -1 and 0 is a half; t on one degree of freedom is 12.706.
        close("low", found.low, -0.5 - 12.706_205 * 0.5, 1e-7);
        assert_eq!(found.degrees_of_freedom, Some(1.0));
    }
}

#[test]
fn trials_all_alike_keep_the_width_of_their_errors() {
    for between in ESTIMATORS {
        let options = PoolOptions {
            between,
            ..PoolOptions::default()
        };
        let alike = [known(-0.5, 0.09); 9];
        let found = pool(&alike, &options).unwrap();
        assert_eq!(
            (found.tau2, found.tau2_low, found.tau2_high),
            (0.0, 0.0, 0.0)
        );
        close("factor", found.hartung_knapp_factor.unwrap(), 0.0, 1e-12);
        close("standard error", found.standard_error, 0.1, 1e-12);
        assert_eq!(found.cautions[0].code, "no-variance-between-found");
        let unbounded = IntervalMethod::HartungKnappUnbounded;
        let bare = pool(
            &alike,
            &PoolOptions {
                interval: unbounded,
                ..options
            },
        )
        .unwrap();
        assert!(bare.high - bare.low < 1e-12 && bare.p < 1e-12);
    }
    // No effect, no error left: nothing over nothing is no finding.
    let options = PoolOptions {
        interval: IntervalMethod::HartungKnappUnbounded,
        ..PoolOptions::default()
    };
    assert_eq!(pool(&[known(0.0, 1.0); 3], &options).unwrap().p, 1.0);
}

#[test]
fn errors_of_any_size_have_an_answer() {
    for between in ESTIMATORS {
        let options = PoolOptions {
            between,
            ..PoolOptions::default()
        };
        for variances in [
            [1e-58, 1.0, 2.0],
            [1e58, 1.0, 2.0],
            [1e-58, 1e58, 1.0],
            [1e58; 3],
            [1e-58; 3],
        ] {
            let effects: Vec<Effect> = [-1.0, 0.5, 0.2]
                .iter()
                .zip(variances)
                .map(|(&y, v)| known(y, v))
                .collect();
            let found = pool(&effects, &options).unwrap();
            let total: f64 = found.weights.iter().sum();
            assert!((total - 1.0).abs() < 1e-12, "{found:?}");
            assert!(
                found.effect.abs() <= 1.0 && found.low <= found.effect,
                "{found:?}"
            );
            assert!(
                found.tau2 >= 0.0 && found.tau2_low <= found.tau2_high,
                "{found:?}"
            );
            assert!(found.p.is_finite() && found.i2.is_finite(), "{found:?}");
        }
    }
}

#[test]
fn what_cannot_be_pooled_is_refused_by_its_number() {
    let options = PoolOptions::default();
    let good = known(0.1, 0.2);
    let refused = |effects: &[Effect], word: &str| {
        let error = pool(effects, &options).unwrap_err();
        assert!(error.what.contains(word), "{error}");
    };
    refused(&[], "effects");
    refused(&[good, known(f64::NEG_INFINITY, 0.2)], "effect of trial 2");
    refused(&[good, good, known(f64::NAN, 0.2)], "effect of trial 3");
    refused(&[known(0.1, 0.0)], "standard error of trial 1");
    refused(&[known(0.1, f64::INFINITY)], "standard error of trial 1");
    let without = Effect {
        degrees_of_freedom: Some(0.0),
        ..good
    };
    refused(&[good, without], "degrees of freedom of trial 2");
    assert!(
        pool(
            &[good],
            &PoolOptions {
                level: 1.0,
                ..options
            }
        )
        .is_err()
    );
}

#[test]
fn moderators_that_tell_nothing_are_refused() {
    let options = PoolOptions::default();
    let effects = [0.1, 0.3, -0.2, 0.4].map(|y| known(y, 0.05));
    let refused = |columns: ndarray::Array2<f64>| {
        meta_regression(&effects, columns.view(), &options)
            .unwrap_err()
            .what
    };
    assert_eq!(refused(array![[7.0], [7.0], [7.0], [7.0]]), "moderator 1");
    assert_eq!(
        refused(array![[1.0, 2.0], [2.0, 4.0], [3.0, 6.0], [5.0, 10.0]]),
        "moderator 2"
    );
    assert_eq!(refused(array![[1.0], [2.0]]), "moderators");
    assert_eq!(
        refused(array![[1.0], [2.0], [3.0], [f64::NAN]]),
        "moderators"
    );
    let three = array![
        [1.0, 0.0, 2.0],
        [2.0, 1.0, 0.0],
        [3.0, 0.0, 1.0],
        [5.0, 2.0, 2.0]
    ];
    assert_eq!(refused(three), "moderators");
    let years = array![[2021.0], [2022.0], [2023.0], [2025.0]];
    assert!(meta_regression(&effects, years.view(), &options).is_ok());
    assert!(small_study_test(&effects, Smallness::StandardError, &options).is_err());
    assert!(small_study_test(&effects, Smallness::OneOver(&[0.0; 4]), &options).is_err());
}

#[test]
fn the_funnel_opens_downwards() {
    let points = funnel(&[known(0.2, 0.01), known(-1.0, 1.0)], -0.5, 0.95).unwrap();
    close("low", points[0].low, -0.5 - 0.195_996_4, 1e-7);
    close("high", points[1].high, -0.5 + 1.959_964, 1e-7);
    assert!(funnel(&[known(0.2, 0.01)], 0.0, 0.0).is_err());
}

proptest! {
    /// Order does not matter, nor the unit; a shift of all effects shifts the answer.
    #[test]
    fn the_answer_moves_with_the_scale(
        trials in proptest::collection::vec((-3.0_f64..3.0, 0.01_f64..2.0), 2..12),
        shift in -5.0_f64..5.0,
        unit in 0.1_f64..10.0,
    ) {
        let effects: Vec<Effect> = trials.iter().map(|&(y, v)| known(y, v)).collect();
        let moved: Vec<Effect> = trials
            .iter()
            .rev()
            .map(|&(y, v)| known(unit * y + shift, unit * unit * v))
            .collect();
        for between in ESTIMATORS {
            let options = PoolOptions { between, ..PoolOptions::default() };
            let (one, other) = (pool(&effects, &options).unwrap(), pool(&moved, &options).unwrap());
            let near = |got: f64, want: f64| (got - want).abs() < 1e-6 * (1.0 + want.abs());
            prop_assert!(near(other.effect, unit * one.effect + shift), "{one:?} {other:?}");
            prop_assert!(near(other.tau2, unit * unit * one.tau2), "{one:?} {other:?}");
            prop_assert!(near(other.high - other.low, unit * (one.high - one.low)));
            prop_assert!(near(other.i2, one.i2));
            prop_assert!(one.tau2_low <= one.tau2_high);
        }
    }
}
