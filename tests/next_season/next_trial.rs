//! Table, suggestion and refusals of the next trial.

use halfgreen::next_season::next_trial::{Cell, NextTrial, Simulation, next_trial};
use halfgreen::next_season::pictures::{power_curves, power_data};
use halfgreen::next_season::prices::Prices;
use halfgreen::next_season::primary_test::TrialTest;
use halfgreen::next_season::sample_size_request::SampleSizeRequest;
use halfgreen::progress::UNHEARD;
use halfgreen_analysis::distributions::{normal_sf, t_quantile};
use halfgreen_analysis::power::assurance::ParameterUncertainty;
use halfgreen_analysis::power::simulated::{SimulatedTrial, SiteParameters};

const GROUND: SiteParameters = SiteParameters {
    mean: 5.0,
    k_sample: 0.8,
    k_plot: 6.0,
    block_sd: 0.4,
    missing: 0.0,
};

fn request() -> SampleSizeRequest {
    SampleSizeRequest {
        reduction: 0.75,
        methods: 1,
        alpha: 0.05,
        power: 0.8,
        blocks: Vec::new(),
        cores_per_plot: vec![2, 4, 8],
        looks: Vec::new(),
        spending: halfgreen::next_season::looks::USUAL,
        terms: halfgreen::next_season::terms::Terms::default(),
    }
}

fn prices() -> Prices {
    Prices {
        plot: Some(10.0),
        core: Some(2.0),
        plot_minutes: Some(20.0),
        ..Prices::default()
    }
}

/// A paired interval on log(total + 1), enough to give all four verdicts.
struct Paired;

impl TrialTest for Paired {
    fn verdict(&self, trial: &SimulatedTrial) -> usize {
        let (mean, reach) = interval(trial);
        if mean + reach < 0.0 {
            0
        } else if mean - reach > 0.0 {
            1
        } else if mean - reach > 0.25_f64.ln() {
            2
        } else {
            3
        }
    }

    /// Half as sure as it could be.
    fn predicted(&self, trial: &SimulatedTrial) -> f64 {
        let (mean, reach) = interval(trial);
        normal_sf(2.0 * (mean + reach) / reach)
    }
}

/// Mean of the differences of logs, and how far the interval reaches about it.
fn interval(trial: &SimulatedTrial) -> (f64, f64) {
    let logs: Vec<f64> = trial.counts.iter().map(|&y| (y as f64).ln_1p()).collect();
    let gaps: Vec<f64> = logs.chunks_exact(2).map(|pair| pair[1] - pair[0]).collect();
    let n = gaps.len() as f64;
    let mean = gaps.iter().sum::<f64>() / n;
    let variance = gaps.iter().map(|g| (g - mean).powi(2)).sum::<f64>() / (n - 1.0);
    (mean, t_quantile(0.975, n - 1.0) * (variance / n).sqrt())
}

fn run(
    request: &SampleSizeRequest,
    ground: &SiteParameters,
    trials: usize,
) -> Result<NextTrial, halfgreen::Error> {
    let method = Simulation {
        test: Paired,
        name: "paired t interval of log(total + 1)".to_owned(),
        trials,
        seed: 42,
        brief: false,
    };
    next_trial(
        (request, None),
        &ParameterUncertainty::certain(ground),
        &prices(),
        &method,
        UNHEARD,
    )
}

#[test]
fn the_suggestion_is_cheapest_and_reaches_the_wish() {
    let answer = run(&request(), &GROUND, 1000).unwrap();
    assert_eq!(answer.table.len(), 30);
    let chosen = &answer.suggestion;
    assert!(chosen.reached && chosen.plan.power >= 0.8, "{chosen:?}");
    let cost = chosen.plan.cost.unwrap();
    // Whatever is clearly cheaper does not reach the wished power.
    for cell in answer.table.iter().filter(|c| c.cost.unwrap() < cost) {
        assert!(cell.power < 0.8 + 3.0 * cell.power_se, "{cell:?}");
    }
    assert!(chosen.extra_block.unwrap().power > chosen.plan.power - 0.05);
    assert_eq!(chosen.scenarios.len(), 4);
    for told in &chosen.scenarios {
        assert!((told.shares.iter().sum::<f64>() - 1.0).abs() < 1e-12);
        assert!(told.sentence.contains("of 100 such trials"));
    }
    let seen = chosen.smallest_reduction.unwrap().reduction_percent;
    assert!(seen <= 80.0 && seen > 50.0, "{seen}");
    assert!(
        chosen.looks.is_none() && chosen.optimum_cores.is_some() && chosen.plan.hours.is_some()
    );
}

/// Few trials leave much to luck: plans then pass in the table and fail anew. None may stand there as good
/// enough and be passed over.
#[test]
fn no_plan_that_is_passed_over_stands_as_good_enough() {
    for seed in 0..12 {
        let method = Simulation {
            test: Paired,
            name: "paired".to_owned(),
            trials: 100,
            seed,
            brief: true,
        };
        let known = ParameterUncertainty::certain(&GROUND);
        let answer = next_trial((&request(), None), &known, &prices(), &method, UNHEARD).unwrap();
        let chosen = answer.suggestion.plan;
        let cheaper = |c: &&Cell| c.cost < chosen.cost && c.power >= 0.8;
        assert_eq!(answer.table.iter().find(cheaper), None, "seed {seed}");
        assert!(answer.table.contains(&chosen), "seed {seed}");
    }
}

/// Nothing is larger than all.
#[test]
fn a_request_for_all_is_told_in_three_scenarios() {
    let all = SampleSizeRequest {
        reduction: 1.0,
        blocks: vec![6],
        cores_per_plot: vec![4],
        ..request()
    };
    assert_eq!(
        run(&all, &GROUND, 100).unwrap().suggestion.scenarios.len(),
        3
    );
}

#[test]
fn same_seed_same_table() {
    let small = SampleSizeRequest {
        blocks: vec![4, 6],
        cores_per_plot: vec![4],
        ..request()
    };
    let (a, b) = (
        run(&small, &GROUND, 500).unwrap(),
        run(&small, &GROUND, 500).unwrap(),
    );
    assert_eq!(a.table, b.table);
    assert_eq!(a.suggestion, b.suggestion);
}

#[test]
fn out_of_reach_names_the_nearest_plan() {
    let much = SampleSizeRequest {
        power: 0.999,
        blocks: vec![2],
        cores_per_plot: vec![4],
        ..request()
    };
    let answer = run(&much, &GROUND, 500).unwrap();
    assert!(!answer.suggestion.reached);
    assert!(
        answer.suggestion.sentence.contains("blocks"),
        "{}",
        answer.suggestion.sentence
    );
    assert!(
        answer
            .cautions
            .iter()
            .any(|c| c.code == "power-not-reached")
    );
}

#[test]
fn impossible_requests_get_a_reason_and_a_way_out() {
    for (request, ground, field) in [
        (
            SampleSizeRequest {
                reduction: 0.0,
                ..request()
            },
            GROUND,
            "reduction",
        ),
        (
            SampleSizeRequest {
                alpha: 0.0,
                ..request()
            },
            GROUND,
            "alpha",
        ),
        (
            SampleSizeRequest {
                power: 1.0,
                ..request()
            },
            GROUND,
            "power",
        ),
        (
            request(),
            SiteParameters {
                k_sample: 0.0,
                ..GROUND
            },
            "k",
        ),
    ] {
        let error = run(&request, &ground, 100).unwrap_err();
        assert_eq!(error.field.as_deref(), Some(field), "{error}");
        assert!(error.cure.contains("blocks"), "{error}");
    }
}

#[test]
fn picture_has_words_for_those_who_cannot_see_it() {
    let small = SampleSizeRequest {
        blocks: vec![4, 6, 8],
        cores_per_plot: vec![2, 8],
        ..request()
    };
    let answer = run(&small, &GROUND, 250).unwrap();
    let svg = power_curves(&answer).unwrap();
    assert!(svg.starts_with("<svg") && svg.contains("role=\"img\""));
    assert!(svg.contains("-title\">Chance of finding a reduction of 75 %</title>"));
    assert!(svg.contains("<desc id=") && svg.contains("8 cores"));
    // The numbers behind it: a row for each number of blocks, a column for each number of cores.
    let data = power_data(&answer);
    assert_eq!(data.headings, ["blocks", "2 cores", "8 cores"]);
    assert_eq!(data.rows.len(), 3);
    let power = |blocks, cores| {
        let cell = |c: &&Cell| (c.blocks, c.cores_per_plot) == (blocks, cores);
        answer.table.iter().find(cell).unwrap().power
    };
    assert_eq!(data.rows[1][2], power(6, 8).into());
}

/// Two looks, O'Brien-Fleming spending: the final boundary is 1.969 (scipy), so little power is lost.
#[test]
fn looks_cost_little_power() {
    let twice = SampleSizeRequest {
        looks: vec![0.5, 1.0],
        blocks: vec![8],
        cores_per_plot: vec![4],
        ..request()
    };
    let found = run(&twice, &GROUND, 1000)
        .unwrap()
        .suggestion
        .looks
        .unwrap();
    assert!((found.looks[1].z - 1.9686).abs() < 1e-3, "{found:?}");
    assert!(found.power < found.power_without && found.power > found.power_without - 0.01);
    // The end is judged whether it is named or not.
    let before = SampleSizeRequest {
        looks: vec![0.5],
        ..twice.clone()
    };
    let unnamed = run(&before, &GROUND, 1000).unwrap().suggestion.looks;
    assert_eq!(unnamed.unwrap(), found);
    let wrong = SampleSizeRequest {
        looks: vec![1.0, 0.5],
        ..twice
    };
    assert!(run(&wrong, &GROUND, 100).is_err());
}
