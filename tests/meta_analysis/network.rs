//! Networks of methods against generalised least squares of other software (`make_counts_reference.R`), and at their ends.

use halfgreen_analysis::meta_analysis::{
    IntervalMethod, Network, NetworkTrial, PoolOptions, TreatmentContrast, network, pool,
};

use super::counts::reference;
use super::{known, numbers};
use crate::closeness::close;

/// The made-up network, its estimates moved by `shift`.
fn trials(shift: &[f64]) -> Vec<NetworkTrial> {
    let reference = reference();
    let mut out: Vec<(usize, NetworkTrial)> = Vec::new();
    for (row, shift) in reference["arms"].as_array().unwrap().iter().zip(shift) {
        let whole = |key: &str| usize::try_from(row[key].as_u64().unwrap()).unwrap();
        let contrast = TreatmentContrast {
            treatment: whole("treatment"),
            estimate: row["estimate"].as_f64().unwrap() + shift,
            standard_error: row["se"].as_f64().unwrap(),
        };
        let number = whole("trial");
        match out.last_mut() {
            Some((last, trial)) if *last == number => trial.contrasts.push(contrast),
            _ => out.push((
                number,
                NetworkTrial {
                    control: whole("control"),
                    contrasts: vec![contrast],
                    control_variance: reference["control_variance"][number.to_string()].as_f64(),
                },
            )),
        }
    }
    out.into_iter().map(|(_, trial)| trial).collect()
}

fn solved(trials: &[NetworkTrial]) -> Network {
    let options = PoolOptions {
        interval: IntervalMethod::Normal,
        ..PoolOptions::default()
    };
    network(trials, 4, &options).unwrap()
}

/// tau^2 is found by a numerical search there, to some 1e-6 of itself.
#[test]
fn effects_agree_with_generalised_least_squares() {
    let reference = reference();
    let shift = numbers(&reference["shift"]);
    for (case, found) in [
        ("network", solved(&trials(&[0.0; 9]))),
        ("apart", solved(&trials(&shift))),
    ] {
        let want = &reference[case];
        let number = |key: &str| want[key].as_f64().unwrap();
        close(case, found.tau2, number("tau2"), 1e-5);
        close(case, found.q, number("q"), 1e-8);
        for at in 0..3 {
            let (effect, se) = (numbers(&want["effect"])[at], numbers(&want["se"])[at]);
            close(case, found.effects[at].effect, effect, 1e-6);
            close(case, found.effects[at].standard_error, se, 1e-6);
        }
        let pair = found
            .effects
            .iter()
            .find(|e| (e.treatment, e.control) == (2, 1))
            .unwrap();
        close("2 against 1", pair.effect, number("pair_21"), 1e-6);
        close(
            "2 against 1",
            pair.standard_error,
            number("pair_21_se"),
            1e-6,
        );
        assert_eq!(pair.direct_trials, 2);
    }
    assert!(solved(&trials(&shift)).tau2 > 0.1);
}

#[test]
fn two_treatments_are_the_plain_pool() {
    let pairs = [(-0.5, 0.2), (0.1, 0.3), (-0.9, 0.25), (-0.2, 0.4)];
    let trials = pairs.map(|(estimate, standard_error)| NetworkTrial {
        control: 0,
        contrasts: vec![TreatmentContrast {
            treatment: 1,
            estimate,
            standard_error,
        }],
        control_variance: None,
    });
    let options = PoolOptions::default();
    let one = network(&trials, 2, &options).unwrap();
    let other = pool(&pairs.map(|(y, se)| known(y, se * se)), &options).unwrap();
    close("effect", one.effects[0].effect, other.effect, 1e-12);
    close("low", one.effects[0].low, other.low, 1e-12);
    close("tau2", one.tau2, other.tau2, 1e-10);
    close("tau2_high", one.tau2_high, other.tau2_high, 1e-10);
    close("i2", one.i2, other.i2, 1e-10);
}

/// Which treatment carries the number 0 decides nothing.
#[test]
fn numbering_does_not_matter() {
    let there = trials(&numbers(&reference()["shift"]));
    let turned: Vec<NetworkTrial> = there
        .iter()
        .cloned()
        .map(|mut trial| {
            trial.control = 3 - trial.control;
            trial
                .contrasts
                .iter_mut()
                .for_each(|c| c.treatment = 3 - c.treatment);
            trial
        })
        .collect();
    let (one, other) = (solved(&there), solved(&turned));
    close("tau2", other.tau2, one.tau2, 1e-9);
    for effect in &one.effects {
        let same = |e: &&_| {
            let e: &halfgreen_analysis::meta_analysis::NetworkEffect = e;
            (e.treatment, e.control) == (3 - effect.control, 3 - effect.treatment)
        };
        let mirrored = other.effects.iter().find(same).unwrap();
        close("effect", mirrored.effect, -effect.effect, 1e-8);
        close(
            "standard error",
            mirrored.standard_error,
            effect.standard_error,
            1e-8,
        );
    }
}

#[test]
fn what_is_no_network_is_refused() {
    let good = trials(&[0.0; 9]);
    let refused = |trials: &[NetworkTrial], treatments: usize| {
        network(trials, treatments, &PoolOptions::default())
            .unwrap_err()
            .to_string()
    };
    assert!(refused(&[], 4).contains("0 trials"));
    assert!(refused(&good, 3).contains("treatment 3"));
    assert!(refused(&good, 5).contains("treatment 4, which no chain"));
    let mut twice = good.clone();
    twice[0].contrasts[1].treatment = 1;
    assert!(refused(&twice, 4).contains("treatment 1 twice"));
    let mut shared = good.clone();
    shared[0].control_variance = Some(0.2);
    assert!(refused(&shared, 4).contains("trial 1"));
    let mut empty = good;
    empty[2].contrasts[0].estimate = f64::NEG_INFINITY;
    assert!(refused(&empty, 4).contains("trial 3"));
}

#[test]
fn one_trial_of_three_treatments_stays_as_it_is() {
    let trial = trials(&[0.0; 9]).remove(0);
    let found = network(&[trial], 3, &PoolOptions::default()).unwrap();
    close("effect", found.effects[0].effect, -0.6, 1e-12);
    // 0.30^2 + 0.35^2 - 2 * 0.05, by hand.
    close(
        "2 against 1",
        found.effects[2].standard_error,
        0.1125_f64.sqrt(),
        1e-12,
    );
    assert_eq!(
        (found.q_df, found.q_p, found.degrees_of_freedom),
        (0, 1.0, None)
    );
    assert!(found.tau2_high.is_infinite());
}
