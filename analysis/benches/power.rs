//! Speed of the simulation engine: a trial drawn, a full table without a test, trials judged.

use halfgreen_analysis::comparison::{
    Better, BlockStructure, Call, InferenceSpace, PlotTable, PreparedTest, Question, Settings,
};
use halfgreen_analysis::counts::Factor;
use halfgreen_analysis::power::simulated::{
    Plan, SimulatedTrial, SimulationBudget, SiteParameters, draw, power,
};
use halfgreen_analysis::power::two_phase;
use halfgreen_analysis::random::Generator;
use halfgreen_analysis::randomisation::{RandomisationSettings, Scheme};
use halfgreen_analysis::sequential::performance::{Recorded, TruePopulation, exact};
use halfgreen_analysis::sequential::probability_ratio::{Levels, counts};

fn main() {
    divan::main();
}

const SITE: SiteParameters = SiteParameters {
    mean: 5.0,
    k_sample: 0.8,
    k_plot: 6.0,
    block_sd: 0.4,
    missing: 0.0,
};

fn plan(blocks: usize) -> Plan {
    Plan {
        blocks,
        samples: 4,
        ratios: vec![0.25],
    }
}

#[divan::bench(args = [4, 8, 16])]
fn draw_a_trial(bencher: divan::Bencher<'_, '_>, blocks: usize) {
    let plan = plan(blocks);
    let mut generator = Generator::new(1, 0);
    let mut trial = SimulatedTrial::default();
    bencher.bench_local(|| draw(&plan, &SITE, &mut generator, &mut trial));
}

/// Ten numbers of blocks, four of samples, 2 000 trials each, with the cheapest of tests.
#[divan::bench]
fn table_of_forty_plans() -> usize {
    let test = |trial: &SimulatedTrial| trial.counts[0] > trial.counts[1];
    let effort = SimulationBudget {
        trials: 2000,
        until_clear_of: None,
    };
    let cells = (3..=12).flat_map(|blocks| (0..4).map(move |column| (blocks, column)));
    cells
        .filter_map(|(blocks, column)| power(&plan(blocks), &SITE, effort, (1, column), test).ok())
        .map(|found| found.verdicts[0])
        .sum()
}

/// The primary test of pairs, prepared for counts of such a plan.
#[expect(clippy::unwrap_used, reason = "a bench has nobody to tell")]
fn prepared(blocks: usize) -> PreparedTest {
    let mut trial = SimulatedTrial::default();
    draw(&plan(blocks), &SITE, &mut Generator::new(1, 0), &mut trial);
    let factor = |name: &str, codes: &[usize], levels: usize| Factor {
        name: name.to_owned(),
        levels: (0..levels).map(|l| l.to_string()).collect(),
        codes: codes.to_vec(),
    };
    let table = PlotTable {
        exposure: vec![4.0; trial.counts.len()],
        treatment: factor("treatment", &trial.treatments, 2),
        block_structure: BlockStructure::Blocks(factor("block", &trial.blocks, blocks)),
        inference: InferenceSpace::Narrow,
        before: None,
        counts: trial.counts,
    };
    let question = Question {
        alpha: 0.05,
        better: Better::Fewer,
        worthwhile_ratio: f64::INFINITY,
    };
    let settings = Settings {
        scheme: Some(Scheme::blocks(&trial.blocks)),
        primary_test: None,
        randomisation: RandomisationSettings::default(),
    };
    PreparedTest::new(table, question, settings).unwrap()
}

const THOUSAND: SimulationBudget = SimulationBudget {
    trials: 1000,
    until_clear_of: None,
};

/// Power of 8 and 24 pairs, each trial judged by the primary test.
#[divan::bench(args = [8, 24], sample_count = 5)]
fn power_with_every_trial_judged(bencher: divan::Bencher<'_, '_>, blocks: usize) {
    let test = prepared(blocks);
    let finds = |t: &SimulatedTrial| test.call_of(&t.counts, 1) == Ok(Call::BeatTheControl);
    bencher.bench_local(|| power(&plan(blocks), &SITE, THOUSAND, (1, 0), finds));
}

/// The same by two-phase sampling.
#[divan::bench(args = [8, 24], sample_count = 5)]
fn power_by_two_phase_sampling(bencher: divan::Bencher<'_, '_>, blocks: usize) {
    let test = prepared(blocks);
    let predicted = |t: &SimulatedTrial| test.predicted(&t.counts, 1);
    let finds = |t: &SimulatedTrial| test.call_of(&t.counts, 1) == Ok(Call::BeatTheControl);
    let site = |_: &mut Generator| SITE;
    bencher
        .bench_local(|| two_phase::power(&plan(blocks), site, THOUSAND, (1, 0), predicted, finds));
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
    exact(
        &bounds,
        TruePopulation { mean: 7.0, k: 2.0 },
        Recorded::Count,
    )
    .map_or(0.0, |found| found.expected_samples)
}
