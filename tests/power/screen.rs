//! The quick call is the full comparison's call, on drawn trials of every kind.

use halfgreen_analysis::comparison::{
    Better, BlockStructure, Call, InferenceSpace, PlotTable, PreparedTest, PrimaryTest, Question,
    Settings, compare,
};
use halfgreen_analysis::counts::Factor;
use halfgreen_analysis::power::simulated::{Plan, SimulatedTrial, SiteParameters, draw};
use halfgreen_analysis::random::Generator;
use halfgreen_analysis::randomisation::{RandomisationSettings, Scheme};

fn factor(name: &str, codes: &[usize]) -> Factor {
    let top = codes.iter().max().unwrap();
    Factor {
        name: name.to_owned(),
        levels: (0..=*top).map(|l| l.to_string()).collect(),
        codes: codes.to_vec(),
    }
}

#[test]
fn quick_and_full_calls_agree() {
    let mut compared = 0;
    for (blocks, ratios, mean) in [
        (4, vec![0.4], 5.0),
        (8, vec![0.5], 5.0),
        (8, vec![1.0], 20.0),
        (4, vec![0.3, 1.0], 5.0),
        (4, vec![0.1], 0.5),
    ] {
        let plan = Plan {
            blocks,
            samples: 4,
            ratios,
        };
        let ground = SiteParameters {
            mean,
            k_sample: 0.8,
            k_plot: 6.0,
            block_sd: 0.4,
            missing: 0.0,
        };
        let mut trial = SimulatedTrial::default();
        for stream in 0..6 {
            draw(&plan, &ground, &mut Generator::new(5, stream), &mut trial);
            let table = PlotTable {
                counts: trial.counts.clone(),
                exposure: vec![4.0; trial.counts.len()],
                treatment: factor("treatment", &trial.treatments),
                block_structure: BlockStructure::Blocks(factor("block", &trial.blocks)),
                inference: InferenceSpace::Narrow,
                before: None,
            };
            let question = Question {
                alpha: 0.05,
                better: Better::Fewer,
                worthwhile_ratio: 0.5,
            };
            let settings = Settings {
                scheme: Some(Scheme::blocks(&trial.blocks)),
                primary_test: None,
                randomisation: RandomisationSettings::default(),
            };
            let full = compare(&table, &question, &settings).unwrap();
            let full: Vec<_> = full.contrasts.iter().map(|c| c.call).collect();
            let screen = PreparedTest::new(table.clone(), question, settings).unwrap();
            assert_eq!(screen.call(&table.counts).unwrap().calls, full, "{trial:?}");
            compared += full.len();
        }
    }
    assert_eq!(compared, 36);
}

/// Where the randomisation test is primary, one treatment alone is told its direction by the score at no effect. A level of
/// 30 % lets it find differences that are next to none, either way.
#[test]
fn one_treatment_alone_is_called_as_among_all_where_re_drawn() {
    let mut found = [0, 0];
    for (ratios, mean, k_plot, missing) in [
        (vec![1.0], 2.0, 1.0, 0.0),
        (vec![0.9], 0.5, 0.5, 0.03),
        (vec![1.0, 0.7], 20.0, 3.0, 0.0),
    ] {
        let plan = Plan {
            blocks: 42,
            samples: 1,
            ratios,
        };
        let ground = SiteParameters {
            mean,
            k_sample: f64::INFINITY,
            k_plot,
            block_sd: 0.8,
            missing,
        };
        let mut trial = SimulatedTrial::default();
        for stream in 0..40 {
            draw(&plan, &ground, &mut Generator::new(6, stream), &mut trial);
            let table = PlotTable {
                counts: trial.counts.clone(),
                exposure: vec![1.0; trial.counts.len()],
                treatment: factor("treatment", &trial.treatments),
                block_structure: BlockStructure::Blocks(factor("block", &trial.blocks)),
                inference: InferenceSpace::Narrow,
                before: None,
            };
            for worthwhile_ratio in [0.5, f64::INFINITY] {
                let question = Question {
                    alpha: 0.3,
                    better: Better::Fewer,
                    worthwhile_ratio,
                };
                let settings = Settings {
                    scheme: Some(Scheme::blocks(&trial.blocks)),
                    primary_test: Some(PrimaryTest::Randomisation),
                    randomisation: RandomisationSettings {
                        limit: 20_000,
                        draws: 999,
                        seed: 0,
                    },
                };
                let test = PreparedTest::new(table.clone(), question, settings).unwrap();
                let among = test.call(&table.counts).unwrap().calls[0];
                assert_eq!(test.call_of(&table.counts, 1).unwrap(), among, "{trial:?}");
                found[0] += usize::from(among == Call::BeatTheControl);
                found[1] += usize::from(among == Call::DidWorse);
            }
        }
    }
    assert!(found.iter().all(|&n| n > 10), "{found:?}");
}
