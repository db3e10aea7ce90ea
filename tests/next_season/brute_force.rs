//! Power by the engine against trials drawn and judged in the open, without it.

use halfgreen::next_season::primary_test::{HeadlineTest, TrialTest};
use halfgreen_analysis::comparison::{
    Better, BlockStructure, Call, InferenceSpace, PlotTable, Question, Settings, compare,
};
use halfgreen_analysis::counts::Factor;
use halfgreen_analysis::distributions::negative_binomial;
use halfgreen_analysis::power::simulated::{
    Plan, SimulatedTrial, SimulationBudget, SiteParameters, operating_characteristics, power,
};
use halfgreen_analysis::power::two_phase;
use halfgreen_analysis::random::Generator;
use halfgreen_analysis::randomisation::{RandomisationSettings, Scheme};
use rand_distr::{Distribution, StandardNormal};

const TRIALS: u64 = 400;

/// Six pairs, 4 cores of mean 3 and k 0.8 a core, block spread 0.4, the method halving the count twice:
/// every trial drawn core by core and judged by the whole comparison.
fn in_the_open() -> f64 {
    let labels: Vec<&str> = (0..12)
        .map(|p| if p % 2 == 0 { "C" } else { "S" })
        .collect();
    let names: Vec<String> = (0..12).map(|p| (p / 2).to_string()).collect();
    let block = Factor::from_labels("block", &names, None);
    let question = Question {
        alpha: 0.05,
        better: Better::Fewer,
        worthwhile_ratio: 0.5,
    };
    let mut beaten = 0;
    for trial in 0..TRIALS {
        let mut g = Generator::new(77, trial);
        let mut counts = Vec::new();
        for _ in 0..6 {
            let z: f64 = StandardNormal.sample(&mut g);
            for ratio in [1.0, 0.25] {
                let mean = 3.0 * (0.4 * z).exp() * ratio;
                counts.push(
                    (0..4)
                        .map(|_| negative_binomial::draw(&mut g, mean, 0.8))
                        .sum(),
                );
            }
        }
        let table = PlotTable {
            counts,
            exposure: vec![4.0; 12],
            treatment: Factor::from_labels("treatment", &labels, Some("C")),
            block_structure: BlockStructure::Blocks(block.clone()),
            inference: InferenceSpace::Narrow,
            before: None,
        };
        let settings = Settings {
            scheme: Some(Scheme::blocks(&block.codes)),
            primary_test: None,
            randomisation: RandomisationSettings::default(),
        };
        let found = compare(&table, &question, &settings).unwrap();
        beaten += u32::from(found.contrasts[0].call == Call::BeatTheControl);
    }
    f64::from(beaten) / TRIALS as f64
}

#[test]
fn the_headlines_power_is_that_of_the_headline() {
    let plan = Plan {
        blocks: 6,
        samples: 4,
        ratios: vec![0.25],
    };
    let ground = SiteParameters {
        mean: 3.0,
        k_sample: 0.8,
        k_plot: f64::INFINITY,
        block_sd: 0.4,
        missing: 0.0,
    };
    let effort = SimulationBudget {
        trials: 2000,
        until_clear_of: None,
    };
    let test = HeadlineTest::new(0.05, 0.5);
    let engine = operating_characteristics(
        &plan,
        |_: &mut Generator| ground,
        (effort, 4),
        (1, 0),
        |trial| test.verdict(trial),
    )
    .unwrap();
    let (by_engine, by_hand) = (engine.share(0), in_the_open());
    // Four standard errors of the difference of two shares near one half.
    let allowed = 4.0 * (0.25_f64 / 2000.0 + 0.25 / TRIALS as f64).sqrt();
    assert!(
        (by_engine - by_hand).abs() < allowed,
        "{by_engine} {by_hand}"
    );
    assert!(
        by_hand > 0.2 && by_hand < 0.98,
        "{by_hand} could not tell a difference"
    );
}

/// The same trials, all judged and by two-phase sampling: within four standard errors of it, which is smaller than
/// with as many judged as it takes.
#[test]
fn few_judged_trials_tell_the_power_of_all() {
    let budget = SimulationBudget {
        trials: 4000,
        until_clear_of: None,
    };
    let test = HeadlineTest::new(0.05, 0.5);
    let ground = SiteParameters {
        mean: 2.0,
        k_sample: f64::INFINITY,
        k_plot: 1.0,
        block_sd: 0.5,
        missing: 0.0,
    };
    for (blocks, methods, ratio) in [(8, 1, 0.3), (24, 1, 0.5), (12, 2, 0.4)] {
        let plan = Plan {
            blocks,
            samples: 4,
            ratios: vec![ratio; methods],
        };
        let finds = |trial: &SimulatedTrial| test.finds(trial);
        let all = power(&plan, &ground, budget, (9, 0), finds).unwrap();
        let few = two_phase::power(
            &plan,
            |_| ground,
            budget,
            (9, 0),
            |trial| test.predicted(trial),
            finds,
        )
        .unwrap();
        // The draws are the same, so that only the second phase parts the two.
        assert!(
            (few.power - all.share(0)).abs() < 4.0 * few.se,
            "{blocks}: {few:?} {all:?}"
        );
        assert!(few.judged < 4000 / 4, "{few:?}");
        let plain = (few.power * (1.0 - few.power) / few.judged as f64).sqrt();
        assert!(few.se < 0.7 * plain, "{few:?} {plain}");
    }
}
