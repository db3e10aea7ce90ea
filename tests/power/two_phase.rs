//! Two-phase sampling: whatever is predicted, the mean is the power and the standard error is its scatter.

use halfgreen_analysis::distributions::{normal_sf, t_quantile};
use halfgreen_analysis::power::simulated::{Plan, SimulatedTrial, SimulationBudget, power};
use halfgreen_analysis::power::two_phase;

use super::simulated::{GROUND, t_of_pairs};

fn plan(ratio: f64) -> Plan {
    Plan {
        blocks: 8,
        samples: 4,
        ratios: vec![ratio],
    }
}

/// Paired t less its bound.
fn beyond(trial: &SimulatedTrial) -> f64 {
    let (t, df) = t_of_pairs(trial);
    t - t_quantile(0.975, df)
}

fn finds(trial: &SimulatedTrial) -> bool {
    beyond(trial) > 0.0
}

fn budget(trials: usize) -> SimulationBudget {
    SimulationBudget {
        trials,
        until_clear_of: None,
    }
}

type Prediction = fn(&SimulatedTrial) -> f64;

/// A good prediction, one that says nothing, one that is always wrong, and one that rules out what happens.
#[test]
fn the_mean_is_the_power_and_the_error_its_scatter_whatever_is_predicted() {
    let truth = power(&plan(0.5), &GROUND, budget(40_000), (1, 0), finds).unwrap();
    let predictions: [Prediction; 4] = [
        |trial| normal_sf(-2.0 * beyond(trial)),
        |_| 0.5,
        |trial| normal_sf(2.0 * beyond(trial)),
        |_| 0.0,
    ];
    let mut judged = Vec::new();
    for prediction in predictions {
        let cells = 200;
        let found: Vec<two_phase::TwoPhasePower> = (1..=cells)
            .map(|cell| {
                let stream = (1, cell);
                two_phase::power(
                    &plan(0.5),
                    |_| GROUND,
                    budget(500),
                    stream,
                    prediction,
                    finds,
                )
                .unwrap()
            })
            .collect();
        let cells = f64::from(cells);
        let mean = found.iter().map(|f| f.power).sum::<f64>() / cells;
        let scatter = found.iter().map(|f| (f.power - mean).powi(2)).sum::<f64>() / (cells - 1.0);
        let told = found.iter().map(|f| f.se * f.se).sum::<f64>() / cells;
        // Four standard errors of the mean; a variance from 200 is within a fifth of a half or so (four times a tenth).
        let error = (scatter / cells).sqrt().hypot(truth.se(0));
        assert!(
            (mean - truth.share(0)).abs() < 4.0 * error,
            "{mean} {truth:?}"
        );
        assert!((scatter / told - 1.0).abs() < 0.4, "{scatter} {told}");
        judged.push((told, found.iter().map(|f| f.judged).sum::<usize>()));
    }
    // The good prediction takes fewer judged trials than the one that says nothing, and errs less.
    assert!(
        judged[0].0 < judged[1].0 && judged[0].1 < judged[1].1,
        "{judged:?}"
    );
}

#[test]
fn any_number_of_threads_tells_the_same() {
    let run = |threads| {
        let pool = rayon::ThreadPoolBuilder::new()
            .num_threads(threads)
            .build()
            .unwrap();
        let predicted = |trial: &SimulatedTrial| normal_sf(-beyond(trial));
        pool.install(|| {
            two_phase::power(
                &plan(0.5),
                |_| GROUND,
                budget(700),
                (3, 1),
                predicted,
                finds,
            )
            .unwrap()
        })
    };
    assert_eq!(run(1), run(3));
}

#[test]
fn what_is_always_or_never_found_still_has_an_error_and_nothing_is_refused() {
    let all = two_phase::power(
        &plan(0.5),
        |_| GROUND,
        budget(300),
        (1, 0),
        |_| 1.0,
        |_| true,
    );
    let all = all.unwrap();
    assert!(
        all.power == 1.0 && all.se > 0.001 && all.trials == 300,
        "{all:?}"
    );
    let told = |predicted: f64| {
        let (plan, stream) = (plan(0.5), (1, 0));
        let predicted = move |_: &SimulatedTrial| predicted;
        two_phase::power(&plan, |_| GROUND, budget(300), stream, predicted, finds).unwrap()
    };
    assert_eq!(told(f64::NAN), told(0.5));
    assert_eq!(told(7.0), told(1.0));
    let refused = two_phase::power(&plan(0.5), |_| GROUND, budget(0), (1, 0), |_| 0.5, finds);
    assert!(refused.is_err());
}

#[test]
fn a_clear_answer_stops_early_on_the_right_side() {
    let until_clear = SimulationBudget {
        trials: 4000,
        until_clear_of: Some(0.8),
    };
    let predicted = |trial: &SimulatedTrial| normal_sf(-2.0 * beyond(trial));
    let run = |ratio: f64| {
        two_phase::power(
            &plan(ratio),
            |_| GROUND,
            until_clear,
            (1, 0),
            predicted,
            finds,
        )
        .unwrap()
    };
    let (strong, weak) = (run(0.1), run(0.8));
    assert!(
        strong.clear && strong.trials < 1000 && strong.power > 0.8,
        "{strong:?}"
    );
    assert!(
        weak.clear && weak.trials < 1000 && weak.power < 0.8,
        "{weak:?}"
    );
}
