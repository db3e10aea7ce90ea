//! Trials with empty arms against general libraries (`make_counts_reference.R`), and at their ends.

use halfgreen_analysis::meta_analysis::{
    ArmTotal, IntervalMethod, PoolOptions, TrialCounts, pool, pool_counts,
};
use serde_json::Value;

use super::known;
use crate::closeness::close;

pub(super) fn reference() -> Value {
    serde_json::from_str(include_str!("counts_reference.json")).unwrap()
}

/// The made-up totals; `k_each` for each sample, infinite for Poisson counts.
fn totals(k_each: f64) -> Vec<TrialCounts> {
    let rows = reference()["totals"].clone();
    let arm = |row: &Value, name: &str| {
        let exposure = row[format!("{name}_exposure")].as_f64().unwrap();
        ArmTotal {
            count: row[name].as_u64().unwrap(),
            exposure,
            // The reference gives both arms the control's k.
            k: k_each * row["control_exposure"].as_f64().unwrap(),
        }
    };
    let rows = rows.as_array().unwrap().iter();
    rows.map(|row| TrialCounts {
        treated: arm(row, "treated"),
        control: arm(row, "control"),
    })
    .collect()
}

/// lme4's search ends within about 1e-5 of the maximum, ours closer: four digits and a half are left to compare.
#[test]
fn poisson_counts_with_empty_arms_agree_with_a_binomial_mixed_model() {
    let found = pool_counts(&totals(f64::INFINITY), &PoolOptions::default()).unwrap();
    let want = &reference()["poisson"];
    close(
        "effect",
        found.effect.unwrap(),
        want["effect"].as_f64().unwrap(),
        5e-5,
    );
    close(
        "tau",
        found.tau2.sqrt(),
        want["tau"].as_f64().unwrap(),
        5e-5,
    );
    assert_eq!(found.informative_trials, 9);
    assert_eq!(found.degrees_of_freedom, Some(8.0));
    assert_eq!(found.cautions[0].code, "empty-trials");
    assert!(found.low < found.effect.unwrap() && found.effect.unwrap() < found.high);
}

/// The maximum is flat: a log-likelihood right to 1e-8 leaves the place known to about 1e-4 of a standard error.
#[test]
fn negative_binomial_counts_with_empty_arms_agree_with_sums_over_a_grid() {
    let reference = reference();
    let want = &reference["negative_binomial"];
    let trials = totals(want["k_each"].as_f64().unwrap());
    let found = pool_counts(&trials, &PoolOptions::default()).unwrap();
    close(
        "log-likelihood",
        found.log_likelihood,
        want["log_likelihood"].as_f64().unwrap(),
        1e-8,
    );
    close(
        "effect",
        found.effect.unwrap(),
        want["effect"].as_f64().unwrap(),
        1e-4,
    );
    close(
        "tau",
        found.tau2.sqrt(),
        want["tau"].as_f64().unwrap(),
        1e-4,
    );
}

fn trial(treated: u64, control: u64) -> TrialCounts {
    let arm = |count| ArmTotal {
        count,
        exposure: 5.0,
        k: 6.0,
    };
    TrialCounts {
        treated: arm(treated),
        control: arm(control),
    }
}

#[test]
fn arms_empty_everywhere_are_bounded_on_one_side() {
    let options = PoolOptions::default();
    for count in [3, 1_000_000] {
        let none_left = pool_counts(&[trial(0, count); 5], &options).unwrap();
        assert_eq!(none_left.effect, Some(f64::NEG_INFINITY));
        assert!(none_left.low == f64::NEG_INFINITY && none_left.high.is_finite());
        let none_there = pool_counts(&[trial(count, 0); 5], &options).unwrap();
        assert_eq!(none_there.effect, Some(f64::INFINITY));
        close("mirror", none_there.low, -none_left.high, 1e-6);
        assert!(
            none_left
                .cautions
                .iter()
                .any(|c| c.code == "arm-empty-everywhere")
        );
        assert!(none_left.p > 0.0 && none_left.p <= 1.0);
    }
    let mut clumped = [trial(3, 9); 4];
    clumped[1].control.k = 1e-9;
    let held = pool_counts(&clumped, &options).unwrap();
    assert!(
        held.low < held.effect.unwrap() && held.effect.unwrap() < held.high,
        "{held:?}"
    );
    let nothing = pool_counts(&[trial(0, 0); 4], &options).unwrap();
    assert_eq!(
        (nothing.effect, nothing.p, nothing.informative_trials),
        (None, 1.0, 0)
    );
    assert!(nothing.low == f64::NEG_INFINITY && nothing.high == f64::INFINITY);
    assert!(pool_counts(&[], &options).is_err());
    let mut bare = trial(1, 1);
    bare.control.exposure = 0.0;
    assert_eq!(
        pool_counts(&[trial(1, 1), bare], &options)
            .unwrap_err()
            .what,
        "trial 2"
    );
}

/// One trial of Poisson counts: the limits are those of a likelihood ratio of a binomial share, which stand in closed form.
#[test]
fn one_trial_of_poisson_counts_has_the_limits_of_a_share() {
    let arm = |count| ArmTotal {
        count,
        exposure: 1.0,
        k: f64::INFINITY,
    };
    let found = pool_counts(
        &[TrialCounts {
            treated: arm(5),
            control: arm(15),
        }],
        &PoolOptions {
            interval: IntervalMethod::Normal,
            ..PoolOptions::default()
        },
    )
    .unwrap();
    close("effect", found.effect.unwrap(), (5.0_f64 / 15.0).ln(), 1e-8);
    let fall = |log_ratio: f64| {
        let share = 1.0 / (1.0 + (-log_ratio).exp());
        2.0 * (5.0 * (0.25 / share).ln() + 15.0 * (0.75 / (1.0 - share)).ln())
    };
    // Chi-squared on one degree of freedom at 5 %: 3.8415 (any table).
    close("low", fall(found.low), 3.841_459, 1e-5);
    close("high", fall(found.high), 3.841_459, 1e-5);
    close("p", found.p, 0.022_1, 0.01);
}

/// Large counts leave the quadrature nothing to do: the normal model of log ratios has the same answer.
#[test]
fn large_counts_give_the_two_stage_answer() {
    let treated = [500_000, 800_000, 400_000, 1_100_000, 600_000, 700_000];
    let arm = |count, k| ArmTotal {
        count,
        exposure: 1.0,
        k,
    };
    for k in [f64::INFINITY, 50.0] {
        let trials = treated.map(|y| TrialCounts {
            treated: arm(y, k),
            control: arm(1_000_000, k),
        });
        let effects = treated.map(|y| {
            let y = y as f64;
            known((y / 1e6).ln(), 1e-6 + 1.0 / y + 2.0 / k)
        });
        let counts = pool_counts(&trials, &PoolOptions::default()).unwrap();
        let two_stage = pool(&effects, &PoolOptions::default()).unwrap();
        close("effect", counts.effect.unwrap(), two_stage.effect, 2e-3);
    }
}
