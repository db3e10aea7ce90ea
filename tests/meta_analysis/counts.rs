//! Trials with empty arms and plots of many clubs against general libraries (`make_counts_reference.R`), and at their ends.

use halfgreen_analysis::counts::Factor;
use halfgreen_analysis::meta_analysis::{
    ArmTotal, IntervalMethod, ManyTrials, PoolOptions, TrialCounts, one_stage, pool, pool_counts,
};
use serde_json::Value;

use super::{known, numbers};
use crate::closeness::{close, close_above};

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
    let ratios = [0.5, 0.8, 0.4, 1.1, 0.6, 0.7];
    let arm = |count, k| ArmTotal {
        count,
        exposure: 1.0,
        k,
    };
    for k in [f64::INFINITY, 50.0] {
        let trials = ratios.map(|r| TrialCounts {
            treated: arm((1e6 * r) as u64, k),
            control: arm(1_000_000, k),
        });
        let effects = ratios.map(|r| known(f64::ln(r), 1e-6 + 1e-6 / r + 2.0 / k));
        let counts = pool_counts(&trials, &PoolOptions::default()).unwrap();
        let two_stage = pool(&effects, &PoolOptions::default()).unwrap();
        close("effect", counts.effect.unwrap(), two_stage.effect, 2e-3);
    }
}

fn clubs() -> ManyTrials {
    let mut reader = csv::Reader::from_reader(include_str!("clubs.csv").as_bytes());
    let rows: Vec<csv::StringRecord> = reader.records().map(|r| r.unwrap()).collect();
    let column = |at: usize| {
        rows.iter()
            .map(|r| r[at].to_owned())
            .collect::<Vec<String>>()
    };
    ManyTrials {
        treatment: Factor::from_labels("treatment", &column(0), Some("bare")),
        within: vec![
            Factor::from_labels("green", &column(2), None),
            Factor::from_labels("block", &column(1), None),
        ],
        club: Factor::from_labels("club", &column(3), None),
        exposure: column(4).iter().map(|x| x.parse().unwrap()).collect(),
        counts: column(5).iter().map(|x| x.parse().unwrap()).collect(),
    }
}

/// Both take Laplace's approximation of the same likelihood; the other search ends, by its own account, where it can no longer
/// tell better from worse ("singular convergence"): 4e-5 of a standard error beside ours, at the same log-likelihood to 1e-7.
#[test]
fn one_model_of_all_plots_agrees_with_other_software() {
    let reference = reference();
    let want = &reference["one_stage"];
    let found = one_stage(&clubs(), &PoolOptions::default()).unwrap();
    let number = |key: &str| want[key].as_f64().unwrap();
    close(
        "log-likelihood",
        found.log_likelihood,
        number("log_likelihood"),
        1e-7,
    );
    close("k", found.k.unwrap(), number("k"), 1e-4);
    close("club", found.club_sd, number("club_sd"), 1e-4);
    close("green", found.within_sd[0], number("green_sd"), 1e-4);
    close("block", found.within_sd[1], number("block_sd"), 1e-4);
    close("tau2", found.tau2, 2.0 * number("cell_sd").powi(2), 1e-4);
    for (at, effect) in found.effects.iter().enumerate() {
        let (ours, theirs) = (effect.effect.unwrap(), numbers(&want["effect"])[at]);
        // Against the size of the standard errors.
        close_above(0.2, &effect.treatment, ours, theirs, 1e-4);
        close(
            &effect.treatment,
            effect.standard_error,
            numbers(&want["se"])[at],
            1e-4,
        );
    }
    assert_eq!(found.degrees_of_freedom, Some(9.0));
}

#[test]
fn one_model_of_all_plots_has_an_answer_at_its_ends() {
    let options = PoolOptions::default();
    let whole = clubs();
    let cover = whole
        .treatment
        .levels
        .iter()
        .position(|l| l == "cover")
        .unwrap();
    let mut wiped = whole.clone();
    for (count, &code) in wiped.counts.iter_mut().zip(&whole.treatment.codes) {
        *count = if code == cover { 0 } else { *count };
    }
    let found = one_stage(&wiped, &options).unwrap();
    assert_eq!(found.effects[cover - 1].effect, Some(f64::NEG_INFINITY));
    let other = &found.effects[2 - cover];
    assert!(
        other.effect.unwrap().is_finite() && other.standard_error.is_finite(),
        "{other:?}"
    );
    let mut nothing = whole.clone();
    nothing.counts.fill(0);
    let found = one_stage(&nothing, &options).unwrap();
    assert!(
        found
            .effects
            .iter()
            .all(|e| e.effect.is_none() && e.p == 1.0)
    );
    let mut short = whole.clone();
    short.exposure.pop();
    assert_eq!(one_stage(&short, &options).unwrap_err().what, "plots");
    let mut bare = whole.clone();
    bare.exposure[3] = 0.0;
    assert_eq!(one_stage(&bare, &options).unwrap_err().what, "exposure");
    let mut huge = whole;
    huge.counts.iter_mut().for_each(|y| *y *= 100_000);
    assert!(
        one_stage(&huge, &options).unwrap().effects[0]
            .effect
            .unwrap()
            .is_finite()
    );
}
