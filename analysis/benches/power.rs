//! Speed of the simulation engine without the test: what a trial costs to draw, and a full table.

use halfgreen_analysis::chance::Generator;
use halfgreen_analysis::power::simulated::{Effort, Ground, Plan, SimulatedTrial, draw, power};
use halfgreen_analysis::sequential::performance::{Noted, Truth, exact};
use halfgreen_analysis::sequential::probability_ratio::{Levels, counts};

fn main() {
    divan::main();
}

const GROUND: Ground = Ground {
    mean: 5.0,
    k_core: 0.8,
    k_plot: 6.0,
    block_sd: 0.4,
    missing: 0.0,
};

fn plan(blocks: usize) -> Plan {
    Plan {
        blocks,
        cores: 4,
        ratios: vec![0.25],
    }
}

#[divan::bench(args = [4, 8, 16])]
fn draw_a_trial(bencher: divan::Bencher<'_, '_>, blocks: usize) {
    let plan = plan(blocks);
    let mut generator = Generator::new(1, 0);
    let mut trial = SimulatedTrial::default();
    bencher.bench_local(|| draw(&plan, &GROUND, &mut generator, &mut trial));
}

/// Ten numbers of blocks, four of cores, 2 000 trials each, with the cheapest of tests.
#[divan::bench]
fn table_of_forty_plans() -> usize {
    let test = |trial: &SimulatedTrial| trial.counts[0] > trial.counts[1];
    let effort = Effort {
        trials: 2000,
        until_clear_of: None,
    };
    let cells = (3..=12).flat_map(|blocks| (0..4).map(move |column| (blocks, column)));
    cells
        .filter_map(|(blocks, column)| {
            power(&plan(blocks), &GROUND, effort, (1, column), test).ok()
        })
        .map(|found| found.verdicts[0])
        .sum()
}

#[divan::bench]
fn stop_lines_at_one_mean() -> f64 {
    let levels = Levels {
        low: 5.0,
        high: 10.0,
        alpha: 0.05,
        beta: 0.1,
    };
    let bounds = counts(levels, 2.0)
        .map(|plan| plan.bounds(60))
        .unwrap_or_default();
    exact(&bounds, Truth { mean: 7.0, k: 2.0 }, Noted::Count).map_or(0.0, |found| found.cores)
}
