//! Variances of few degrees of freedom against `limma` (`make_reference.R`), and at their ends.

use halfgreen_analysis::meta_analysis::{
    BetweenVariance, Effect, IntervalMethod, PoolOptions, Pooled, moderated, pool,
};
use halfgreen_analysis::random::Generator;
use rand_distr::{ChiSquared, Distribution, StandardNormal};

use super::reference::reference;
use super::{known, numbers, pooled};
use crate::closeness::close;

fn few(estimate: f64, variance: f64, df: f64) -> Effect {
    Effect {
        degrees_of_freedom: Some(df),
        ..known(estimate, variance)
    }
}

/// The other search for the prior's degrees of freedom ends within 1e-8 of itself.
#[test]
fn moderated_variances_agree_with_other_software() {
    let reference = reference();
    let want = &reference["moderated"];
    let column = |key: &str| numbers(&want[key]);
    let effects: Vec<Effect> = (column("yi").iter().zip(column("vi")).zip(column("df")))
        .map(|((&y, v), df)| few(y, v, df))
        .collect();
    let found = pooled(&effects);
    let number = |key: &str| want[key].as_f64().unwrap();
    let moderation = found.moderation.unwrap();
    close(
        "df",
        moderation.degrees_of_freedom.unwrap(),
        number("prior_df"),
        1e-6,
    );
    close(
        "variance",
        moderation.common_variance,
        number("prior_variance"),
        1e-6,
    );
    for (effect, variance) in moderated(&effects).iter().zip(column("moderated")) {
        close("moderated", effect.standard_error.powi(2), variance, 1e-6);
    }
    close("effect", found.effect, number("effect"), 1e-6);
    close("tau2", found.tau2, number("tau2"), 1e-6);
    close("low", found.low, number("low"), 1e-6);
    close("high", found.high, number("high"), 1e-6);
}

fn unsure(found: &Pooled) -> bool {
    found
        .moderation
        .is_some_and(|m| m.degrees_of_freedom.is_none())
}

/// Variances no further apart than chance has them: all take their mean by degrees of freedom, the size of each trial in it.
#[test]
fn variances_that_differ_by_chance_become_one() {
    // 0.2 on three degrees of freedom is 0.8 for a trial of unit size, 0.1 on seven is 0.8 as well.
    let effects = [
        few(-0.5, 0.2, 3.0),
        few(0.1, 0.1, 7.0),
        few(-0.9, 0.16, 4.0),
    ];
    let found = pooled(&effects);
    assert!(unsure(&found), "{:?}", found.moderation);
    close(
        "common",
        found.moderation.unwrap().common_variance,
        0.8,
        1e-12,
    );
    // A variance of nearly nothing that four plots happened to show no longer decides alone.
    let lucky = [
        few(-0.5, 0.2, 3.0),
        few(2.0, 0.01, 3.0),
        few(-0.9, 0.16, 3.0),
        few(-0.4, 0.3, 3.0),
    ];
    let weights = pooled(&lucky).weights;
    assert!(weights[1] < 0.5, "{weights:?}");
}

#[test]
fn known_errors_and_single_trials_are_left_alone() {
    let mixed = [known(-0.5, 0.04), few(0.1, 0.1, 3.0), known(-0.9, 0.3)];
    assert_eq!(moderated(&mixed), mixed);
    assert!(pooled(&mixed).moderation.is_none());
    let two = [known(-0.5, 0.04), few(0.1, 0.1, 3.0), few(0.3, 0.2, 3.0)];
    assert_eq!(moderated(&two)[0], two[0]);
    assert!(pooled(&[few(0.1, 0.1, 3.0)]).moderation.is_none());
    let endless = Effect {
        degrees_of_freedom: Some(f64::INFINITY),
        ..known(0.1, 0.2)
    };
    assert_eq!(moderated(&[endless; 3]), [endless; 3]);
}

/// Log ratios with errors on three to seven degrees of freedom, drawn as the normal model has them: what 95 % are worth over
/// 4 000 pools. The standard error of a coverage is 0.35 points.
#[test]
fn intervals_hold_what_they_promise_where_errors_have_few_degrees_of_freedom() {
    for (clubs, tau) in [(5_u64, 0.0), (5, 0.5), (10, 0.0), (10, 0.5), (20, 0.3)] {
        let mut generator = Generator::new(20_261_130, clubs);
        let mut held = [0; 2];
        for _ in 0..4000 {
            let mut effects = Vec::new();
            for _ in 0..clubs {
                let df = 3.0 + (generator.below(5) as f64);
                let variance = 2.0 / (df + 1.0);
                let scatter: f64 = ChiSquared::new(df).unwrap().sample(&mut generator);
                let deviates: [f64; 2] =
                    std::array::from_fn(|_| StandardNormal.sample(&mut generator));
                let estimate = tau * deviates[0] + variance.sqrt() * deviates[1];
                effects.push(few(estimate, variance * scatter / df, df));
            }
            let as_usual = PoolOptions {
                between: BetweenVariance::DerSimonianLaird,
                interval: IntervalMethod::Normal,
                ..PoolOptions::default()
            };
            let known: Vec<Effect> = effects
                .iter()
                .map(|e| known(e.estimate, e.standard_error.powi(2)))
                .collect();
            for (held, found) in held
                .iter_mut()
                .zip([pooled(&effects), pool(&known, &as_usual).unwrap()])
            {
                *held += i32::from(found.low <= 0.0 && 0.0 <= found.high);
            }
        }
        let [ours, usual] = held.map(|n| f64::from(n) / 4000.0);
        assert!((0.94..=0.96).contains(&ours), "{clubs} {tau}: {ours}");
        assert!(
            usual < 0.94,
            "{clubs} {tau}: {usual} with errors taken as known"
        );
    }
}

/// Variances of any size have an answer, and so have trials that agree to the last digit.
#[test]
fn ends_are_defined() {
    for variances in [[1e-58, 1.0, 1e58], [1e-58; 3], [1e58; 3], [1.0, 1.0, 1e-40]] {
        let effects = [0.1, -0.4, 0.9];
        let effects: Vec<Effect> = (effects.iter().zip(variances))
            .map(|(&y, v)| few(y, v, 3.0))
            .collect();
        let found = pool(&effects, &PoolOptions::default()).unwrap();
        assert!(
            found.low.is_finite() && found.low <= found.high,
            "{found:?}"
        );
        assert!((found.weights.iter().sum::<f64>() - 1.0).abs() < 1e-12);
    }
    let alike = pooled(&[few(-0.5, 0.2, 3.0); 6]);
    // The factor is used as it comes: rounding alone is left of the width.
    assert!(alike.high - alike.low < 1e-6 && alike.hartung_knapp_factor.unwrap() < 1e-12);
    let close_by = pooled(&[few(-0.5, 0.2, 3.0), few(-0.52, 0.2, 3.0)]);
    assert!(
        close_by
            .cautions
            .iter()
            .any(|c| c.code == "closer-than-errors")
    );
}
