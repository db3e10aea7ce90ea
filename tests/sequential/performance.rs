//! The recursion against simulation, and against cases small enough for a pencil.

use halfgreen_analysis::power::survey::VarianceLaw;
use halfgreen_analysis::sequential::performance::{Recorded, TruePopulation, by_simulation, exact};
use halfgreen_analysis::sequential::probability_ratio::{Levels, counts};
use halfgreen_analysis::sequential::{Bound, classification, fixed_precision, presence};

const LEVELS: Levels = Levels {
    low: 1.0,
    high: 2.0,
    alpha: 0.1,
    beta: 0.1,
};

/// The recursion and `walks` walks agree within five standard errors on everything.
fn agree(bounds: &[Bound], truth: TruePopulation, noted: Recorded, walks: usize) {
    let sure = exact(bounds, truth, noted).unwrap();
    let tried = by_simulation(bounds, truth, noted, walks, 4).unwrap();
    let n = walks as f64;
    assert!((sure.few + sure.many - 1.0).abs() < 1e-9, "{sure:?}");
    assert!((sure.ends.iter().sum::<f64>() - 1.0).abs() < 1e-9);
    for (p, q) in [(sure.few, tried.few), (sure.cut_off, tried.cut_off)] {
        let error = (p * (1.0 - p) / n).sqrt();
        assert!((p - q).abs() < 5.0 * error + 5.0 / n, "{p} {q} {truth:?}");
    }
    let at = |n: usize| (n + 1) as f64;
    let second: f64 = sure
        .ends
        .iter()
        .enumerate()
        .map(|(i, p)| at(i) * at(i) * p)
        .sum();
    let error = ((second - sure.expected_samples.powi(2)).max(0.0) / n).sqrt();
    assert!(
        (sure.expected_samples - tried.expected_samples).abs() < 5.0 * error + 1e-9,
        "{sure:?} {tried:?}"
    );
}

fn all_plans_agree(walks: usize) {
    let nb = VarianceLaw::NegativeBinomial { k: 1.5 };
    let wald = counts(LEVELS, 1.5).unwrap().bounds(40);
    let iwao = classification::bounds(1.5, nb, 1.96, 40).unwrap();
    let green = fixed_precision::bounds(0.25, nb, 60).unwrap();
    let present = presence::lines(LEVELS, nb, 1).unwrap().bounds(40);
    for mean in [0.6, 1.0, 1.5, 2.5] {
        let truth = TruePopulation { mean, k: 1.5 };
        agree(&wald, truth, Recorded::Count, walks);
        agree(&iwao, truth, Recorded::Count, walks);
        agree(&green, truth, Recorded::Count, walks);
        agree(&present, truth, Recorded::Above(1), walks);
    }
    let poisson = counts(LEVELS, f64::INFINITY).unwrap().bounds(30);
    agree(
        &poisson,
        TruePopulation {
            mean: 1.4,
            k: f64::INFINITY,
        },
        Recorded::Count,
        walks,
    );
}

#[test]
fn recursion_agrees_with_simulation() {
    all_plans_agree(50_000);
}

/// `cargo test -p halfgreen-analysis --release million_walks -- --ignored`
#[test]
#[ignore = "a million walks a plan: half a minute"]
fn recursion_agrees_with_a_million_walks() {
    all_plans_agree(1_000_000);
}

/// One core, stop few at 0, many at 2 or more, cut off with 1 counting as few: Poisson by hand.
#[test]
fn one_core_by_hand() {
    let bounds = [Bound {
        n: 1,
        stop_at_or_below: Some(0),
        stop_at_or_above: Some(2),
        cut_off_at: 1,
    }];
    let got = exact(
        &bounds,
        TruePopulation {
            mean: 1.0,
            k: f64::INFINITY,
        },
        Recorded::Count,
    )
    .unwrap();
    let e = (-1.0_f64).exp();
    assert!((got.few - 2.0 * e).abs() < 1e-12 && (got.cut_off - e).abs() < 1e-12);
    assert!(
        (got.many - (1.0 - 2.0 * e)).abs() < 1e-12 && (got.expected_samples - 1.0).abs() < 1e-12
    );
}

/// Coins: +-2 walk of a fair coin stops after 4 tosses on average (gambler's ruin, Feller 1968, XIV.3).
/// Heads count; after n tosses the ruin lies at n/2 -+ 1 heads.
#[test]
fn gamblers_ruin() {
    let bounds: Vec<Bound> = (1..=400_u64)
        .map(|n| Bound {
            n: usize::try_from(n).unwrap(),
            stop_at_or_below: (n % 2 == 0).then(|| n / 2 - 1),
            stop_at_or_above: (n % 2 == 0).then_some(n / 2 + 1),
            cut_off_at: n / 2,
        })
        .collect();
    let truth = TruePopulation {
        mean: std::f64::consts::LN_2,
        k: f64::INFINITY,
    };
    let got = exact(&bounds, truth, Recorded::Above(0)).unwrap();
    assert!(
        (got.expected_samples - 4.0).abs() < 1e-9,
        "{}",
        got.expected_samples
    );
    assert!((got.few - 0.5).abs() < 1e-9 && got.cut_off < 1e-30);
}

/// Wald's error rates hold for the uncut plan with the right k, on the safe side in sum.
#[test]
fn wald_keeps_its_error_rates() {
    let bounds = counts(LEVELS, 1.5).unwrap().bounds(200);
    let at = |mean| exact(&bounds, TruePopulation { mean, k: 1.5 }, Recorded::Count).unwrap();
    assert!(at(1.0).many < 0.1 && at(2.0).few < 0.1);
}
