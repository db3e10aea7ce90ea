//! The simulation engine: what it draws, what it counts, and that threads do not matter.

use halfgreen_analysis::distributions::t_sf;
use halfgreen_analysis::power::assurance::{ParameterUncertainty, from_range, on_log_scale, pool};
use halfgreen_analysis::power::blocked;
use halfgreen_analysis::power::detectable::smallest_reduction;
use halfgreen_analysis::power::simulated::{
    Plan, SimulatedTrial, SimulationBudget, SiteParameters, draw, operating_characteristics, power,
};
use halfgreen_analysis::random::Generator;
use halfgreen_analysis::results::Estimate;

pub(super) const GROUND: SiteParameters = SiteParameters {
    mean: 20.0,
    k_sample: 3.0,
    k_plot: 5.0,
    block_sd: 0.4,
    missing: 0.0,
};

/// Paired t of log(total + 1), control less method, and its degrees of freedom.
pub(super) fn t_of_pairs(trial: &SimulatedTrial) -> (f64, f64) {
    let logs: Vec<f64> = trial.counts.iter().map(|&y| (y as f64).ln_1p()).collect();
    let differences: Vec<f64> = logs.chunks_exact(2).map(|pair| pair[0] - pair[1]).collect();
    let n = differences.len() as f64;
    let mean = differences.iter().sum::<f64>() / n;
    let variance = differences.iter().map(|d| (d - mean).powi(2)).sum::<f64>() / (n - 1.0);
    (mean / (variance / n).sqrt(), n - 1.0)
}

/// The test of it: simple, so that power can be had by brute force.
fn paired_t(trial: &SimulatedTrial) -> bool {
    let (t, df) = t_of_pairs(trial);
    2.0 * t_sf(t.abs(), df) <= 0.05
}

fn plan(blocks: usize, ratio: f64) -> Plan {
    Plan {
        blocks,
        samples: 4,
        ratios: vec![ratio],
    }
}

const ALL: SimulationBudget = SimulationBudget {
    trials: 4000,
    until_clear_of: None,
};

#[test]
fn drawn_plots_have_the_stated_mean_and_variance() {
    let plan = Plan {
        blocks: 1,
        samples: 4,
        ratios: vec![0.5],
    };
    let mut trial = SimulatedTrial::default();
    let n = 40_000;
    let mut totals = Vec::with_capacity(n);
    for stream in 0..n as u64 {
        let ground = SiteParameters {
            block_sd: 0.0,
            ..GROUND
        };
        draw(&plan, &ground, &mut Generator::new(3, stream), &mut trial);
        assert_eq!(trial.treatments, [0, 1]);
        totals.push(trial.counts[0] as f64);
    }
    let mean = totals.iter().sum::<f64>() / n as f64;
    let variance = totals.iter().map(|y| (y - mean).powi(2)).sum::<f64>() / n as f64;
    // Four cores of mean 20: Poisson part 80, between plots 80^2/5, between cores 80^2 (1 + 1/5) / 12.
    let want = 80.0 + 6400.0 / 5.0 + 6400.0 * 1.2 / 12.0;
    assert!(
        (mean - 80.0).abs() < 5.0 * (want / n as f64).sqrt(),
        "{mean}"
    );
    assert!((variance / want - 1.0).abs() < 0.05, "{variance} {want}");
}

#[test]
fn same_table_on_any_number_of_threads() {
    let run = |threads| {
        rayon::ThreadPoolBuilder::new()
            .num_threads(threads)
            .build()
            .unwrap()
            .install(|| power(&plan(6, 0.4), &GROUND, ALL, (9, 2), paired_t).unwrap())
    };
    assert_eq!(run(1), run(5));
}

/// Level and power of the t test on normal-like logs: the non-central t preview is then nearly exact.
#[test]
fn engine_preview_and_brute_force_agree() {
    let none = power(&plan(8, 1.0), &GROUND, ALL, (1, 0), paired_t).unwrap();
    assert!((none.share(0) - 0.05).abs() < 4.0 * none.se(0), "{none:?}");
    let found = power(&plan(8, 0.4), &GROUND, ALL, (1, 1), paired_t).unwrap();
    // Brute force: trials drawn here from another seed, one after the other.
    let mut hits = 0;
    let mut trial = SimulatedTrial::default();
    for stream in 0..4000 {
        draw(
            &plan(8, 0.4),
            &GROUND,
            &mut Generator::new(77, stream),
            &mut trial,
        );
        hits += u32::from(paired_t(&trial));
    }
    let brute = f64::from(hits) / 4000.0;
    let error = found.se(0) * std::f64::consts::SQRT_2;
    assert!(
        (found.share(0) - brute).abs() < 4.0 * error,
        "{found:?} {brute}"
    );
    // The preview's delta method is first order: it may be off by some hundredths.
    let preview = blocked::power(&plan(8, 0.4), &GROUND, 0.05).unwrap();
    assert!(
        (preview - found.share(0)).abs() < 0.06,
        "{preview} {found:?}"
    );
}

#[test]
fn a_clear_answer_stops_early_on_the_right_side() {
    let effort = SimulationBudget {
        trials: 4000,
        until_clear_of: Some(0.8),
    };
    let found = power(&plan(12, 0.1), &GROUND, effort, (1, 0), paired_t).unwrap();
    assert!(found.clear && found.trials < 1000 && found.share(0) > 0.8);
    let found = power(&plan(3, 0.8), &GROUND, effort, (1, 0), paired_t).unwrap();
    assert!(found.clear && found.trials < 1000 && found.share(0) < 0.8);
}

#[test]
fn lost_plots_are_left_out() {
    let ground = SiteParameters {
        missing: 0.5,
        ..GROUND
    };
    let mut plots = 0;
    for stream in 0..500 {
        let mut trial = SimulatedTrial::default();
        draw(
            &plan(4, 0.5),
            &ground,
            &mut Generator::new(1, stream),
            &mut trial,
        );
        plots += trial.counts.len();
    }
    // 4000 plots, half of them lost: within five standard errors.
    assert!(
        (plots as f64 - 2000.0).abs() < 5.0 * 1000.0_f64.sqrt(),
        "{plots}"
    );
}

#[test]
fn smallest_reduction_has_the_power_asked_for() {
    let at = |wanted: f64, size: &Plan, trials: usize| {
        smallest_reduction(size, &GROUND, wanted, |plan| {
            let budget = SimulationBudget {
                trials,
                until_clear_of: None,
            };
            let found = power(plan, &GROUND, budget, (5, 0), paired_t)?;
            Ok(Estimate {
                value: found.share(0),
                se: found.se(0),
            })
        })
        .unwrap()
    };
    let found = at(0.8, &plan(8, 0.5), 1000).unwrap();
    assert!(found.power >= 0.8 && found.power < 0.9, "{found:?}");
    assert_eq!(at(0.999, &plan(2, 0.5), 500), None);
}

#[test]
fn doubt_moves_assurance_towards_the_middle() {
    let sure = ParameterUncertainty::certain(&GROUND);
    assert!((sure.draw(&mut Generator::new(1, 1)).k_plot - 5.0).abs() < 1e-12);
    let doubtful = ParameterUncertainty {
        ln_k_plot: Estimate {
            value: 5.0_f64.ln(),
            se: 1.2,
        },
        ..sure
    };
    doubtful.check().unwrap();
    let run = |known: ParameterUncertainty| {
        let verdict = |trial: &SimulatedTrial| usize::from(!paired_t(trial));
        operating_characteristics(
            &plan(8, 0.25),
            |g: &mut Generator| known.draw(g),
            (ALL, 2),
            (1, 0),
            verdict,
        )
        .unwrap()
    };
    let (at_estimate, averaged) = (run(sure), run(doubtful));
    assert!(
        averaged.share(0) < at_estimate.share(0) - 0.01,
        "{averaged:?} {at_estimate:?}"
    );
}

/// Two trials by hand: equal weights, Q = 2 (0.5)^2 / 0.04 = 12.5, spread (12.5 - 1) / 25 = 0.46.
#[test]
fn past_trials_are_pooled() {
    let known = [
        Estimate {
            value: 0.0,
            se: 0.2,
        },
        Estimate {
            value: 1.0,
            se: 0.2,
        },
    ];
    let pooled = pool(&known).unwrap();
    assert!((pooled.value - 0.5).abs() < 1e-12);
    assert!(
        (pooled.se - (0.5_f64 * 0.5 + 0.46).sqrt()).abs() < 1e-12,
        "{pooled:?}"
    );
    assert_eq!(pool(&known[..1]).unwrap(), known[0]);
    assert!(pool(&[]).is_err());
    let range = from_range(0.5, 5.0, 0.9).unwrap();
    assert!((range.value.exp() - 2.5_f64.sqrt()).abs() < 1e-12);
    let logged = on_log_scale(Estimate {
        value: 2.0,
        se: 0.5,
    })
    .unwrap();
    assert!((logged.se - 0.25).abs() < 1e-15);
    assert!(
        on_log_scale(Estimate {
            value: 1e8,
            se: f64::INFINITY
        })
        .is_err()
    );
}
