//! Ground that changes across the blocks: what free draws and draws balanced along it make of the headline test, whether
//! the place in the block had better be taken out, and how often the check for a gradient speaks up.

use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::sync::{Arc, Mutex};

use halfgreen_analysis::comparison::{
    Better, BlockStructure, Call, InferenceSpace, PlotTable, PreparedTest, PrimaryTest, Question,
    Settings,
};
use halfgreen_analysis::counts::Factor;
use halfgreen_analysis::diagnostics::gradient;
use halfgreen_analysis::distributions::negative_binomial;
use halfgreen_analysis::random::{Generator, shuffle};
use halfgreen_analysis::randomisation::RandomisationSettings;
use rand_distr::{Distribution, StandardNormal};
use rayon::prelude::*;

/// Seed of every cell; the rule was chosen with another.
const SEED: u64 = 20_261_129;
/// Mean count of a plot of the control in the middle of a block.
const MEAN: f64 = 10.0;
/// Standard deviation of block effects on the log scale.
const BLOCK_SD: f64 = 0.4;
/// Ratio of the treatment that works.
const RATIO: f64 = 0.25;
/// Treatments and blocks.
const DESIGNS: [(usize, usize); 8] = [
    (2, 3),
    (2, 4),
    (2, 5),
    (2, 6),
    (2, 8),
    (3, 3),
    (3, 4),
    (4, 3),
];

/// Blocks of plots in a row on ground that changes along them.
#[derive(Debug, Clone, Copy)]
struct Cell {
    treatments: usize,
    blocks: usize,
    k: f64,
    /// Change of the log mean from one end of a block to the other.
    gradient: f64,
    /// Whether draws are balanced along it.
    balanced: bool,
}

/// What is said of one trial: a difference is found (without effect any, else that of the treatment that works), and the
/// interval holds the truth, each with the place left in the error and with it taken out; the check speaks up.
#[derive(Debug, Clone, Copy, Default)]
struct Said {
    found: [bool; 2],
    covered: [bool; 2],
    warned: bool,
}

/// Tests by allocation and by whether the place is taken out: what does not hang on counts is worked out once.
type Tests = Mutex<BTreeMap<(Vec<usize>, bool), Arc<PreparedTest>>>;

/// Runs every cell and writes the page.
pub(crate) fn page(trials: u64) -> String {
    let mut text = format!(
        "# Ground that changes across the blocks\n\n\
         Written by `HALFGREEN_GRADIENT=1 cargo bench -p halfgreen-analysis --bench calibration`, seed {SEED}: {trials} trials without \
         effect and {} in which one treatment leaves {RATIO} of the larvae, in every cell. Plots of a block lie in a row; the log mean changes by \
         `gradient` from one end of the row to the other, the mean of the control in the middle is {MEAN}, blocks differ by {BLOCK_SD} (SD of logs). \
         *Balanced* draws are those of the rule `balanced-along-gradient`. *Error*: the headline test, which leaves the place in its error. \
         *Taken out*: the same with the place in the block as a covariate, one degree of freedom less for error. *Check*: how often \
         `diagnostics.gradient` speaks up (p of 0.05 or less) in the trials without effect. All in per cent; the standard error of 5 % is {:.1}.\n\n\
         | treatments x blocks | k | gradient | draw | false claims: error | taken out | found: error | taken out | interval holds: error | taken out | check |\n\
         |---|---|---|---|---|---|---|---|---|---|---|\n",
        trials * 2 / 5,
        100.0 * (0.05 * 0.95 / trials as f64).sqrt(),
    );
    for (treatments, blocks) in DESIGNS {
        for k in [0.8, f64::INFINITY] {
            for gradient in [0.0, 1.0, 2.0] {
                for balanced in [false, true] {
                    line(
                        &mut text,
                        &Cell {
                            treatments,
                            blocks,
                            k,
                            gradient,
                            balanced,
                        },
                        trials,
                    );
                }
            }
        }
    }
    text
}

fn line(text: &mut String, cell: &Cell, trials: u64) {
    let tests = Tests::default();
    let many = |ratio: f64, trials: u64, first: u64| -> Vec<Said> {
        let numbers = (first..first + trials).into_par_iter();
        numbers.map(|n| one(cell, &tests, ratio, n)).collect()
    };
    let share = |of: &[Said], what: &dyn Fn(&Said) -> bool| {
        100.0 * of.iter().filter(|s| what(s)).count() as f64 / of.len() as f64
    };
    let (none, some) = (
        many(1.0, trials, 1),
        many(RATIO, trials * 2 / 5, 10_000_000),
    );
    let both = |of: &[Said], what: &dyn Fn(&Said) -> [bool; 2]| {
        [0, 1]
            .map(|at| format!("{:.1}", share(of, &|s| what(s)[at])))
            .join(" | ")
    };
    writeln!(
        text,
        "| {} x {} | {} | {} | {} | {} | {} | {} | {:.1} |",
        cell.treatments,
        cell.blocks,
        cell.k,
        cell.gradient,
        if cell.balanced { "balanced" } else { "free" },
        both(&none, &|s| s.found),
        both(&some, &|s| s.found),
        both(&some, &|s| s.covered),
        share(&none, &|s| s.warned),
    )
    .unwrap();
}

/// One trial.
fn one(cell: &Cell, tests: &Tests, ratio: f64, number: u64) -> Said {
    let mut g = Generator::new(SEED, number);
    let allocation = draw(cell, &mut g);
    let mut counts = Vec::with_capacity(allocation.len());
    for row in allocation.chunks(cell.treatments) {
        let block: f64 = StandardNormal.sample(&mut g);
        for (place, &treatment) in row.iter().enumerate() {
            let along = place as f64 / (cell.treatments as f64 - 1.0) - 0.5;
            let effect = if treatment == 1 { ratio } else { 1.0 };
            let mean = MEAN * effect * (BLOCK_SD * block + cell.gradient * along).exp();
            counts.push(negative_binomial::draw(&mut g, mean, cell.k));
        }
    }
    let places: Vec<(f64, f64)> = (0..counts.len())
        .map(|plot| {
            let (block, place) = (plot / cell.treatments, plot % cell.treatments);
            (place as f64, 3.0 * block as f64)
        })
        .collect();
    let mut here = table(cell, &allocation, false);
    here.counts.clone_from(&counts);
    let mut said = Said {
        warned: gradient(&here, &places)
            .and_then(|g| g.p)
            .is_some_and(|p| p <= 0.05),
        ..Said::default()
    };
    let mut truth = vec![1.0; cell.treatments - 1];
    truth[0] = ratio;
    for (at, taken_out) in [false, true].into_iter().enumerate() {
        // Where the place says the same as the treatment, nothing is left to test: nothing is claimed.
        let Some(test) = prepared(cell, tests, &allocation, taken_out) else {
            said.covered[at] = true;
            continue;
        };
        let calls = test.call(&counts).unwrap().calls;
        said.found[at] = if ratio == 1.0 {
            calls
                .iter()
                .any(|c| matches!(c, Call::BeatTheControl | Call::DidWorse))
        } else {
            calls[0] == Call::BeatTheControl
        };
        said.covered[at] = ratio == 1.0 || !test.covers(&counts, &truth).unwrap().contains(&false);
    }
    said
}

/// A draw: each treatment once in each block; balanced as the rule has it, half a block's length at most, or less than
/// one step, off the middle.
fn draw(cell: &Cell, g: &mut Generator) -> Vec<usize> {
    let half = (cell.treatments as f64 - 1.0) / 2.0;
    loop {
        let mut all = Vec::with_capacity(cell.treatments * cell.blocks);
        for _ in 0..cell.blocks {
            let mut list: Vec<usize> = (0..cell.treatments).collect();
            shuffle(g, &mut list);
            all.extend(list);
        }
        let off = |treatment: usize| -> f64 {
            let own = (0..all.len()).filter(|&plot| all[plot] == treatment);
            own.map(|plot| (plot % cell.treatments) as f64 - half)
                .sum::<f64>()
                .abs()
        };
        if !cell.balanced || (0..cell.treatments).all(|t| off(t) < 1.0 || off(t) <= half) {
            return all;
        }
    }
}

fn prepared(
    cell: &Cell,
    tests: &Tests,
    allocation: &[usize],
    taken_out: bool,
) -> Option<Arc<PreparedTest>> {
    let key = (allocation.to_vec(), taken_out);
    if let Some(known) = tests.lock().unwrap().get(&key) {
        return Some(known.clone());
    }
    let settings = Settings {
        scheme: None,
        primary_test: Some(PrimaryTest::Model),
        randomisation: RandomisationSettings::default(),
    };
    let question = Question {
        alpha: 0.05,
        better: Better::Fewer,
        worthwhile_ratio: 0.5,
    };
    let test = PreparedTest::new(table(cell, allocation, taken_out), question, settings).ok()?;
    let test = Arc::new(test);
    tests.lock().unwrap().insert(key, test.clone());
    Some(test)
}

/// The plots row by row, with the place in the block as covariate where it is to be taken out.
fn table(cell: &Cell, allocation: &[usize], taken_out: bool) -> PlotTable {
    let plots = allocation.len();
    let factor = |name: &str, levels: usize, codes: Vec<usize>| Factor {
        name: name.to_owned(),
        levels: (0..levels).map(|l| l.to_string()).collect(),
        codes,
    };
    let middle = (cell.treatments as f64 - 1.0) / 2.0;
    let place = |plot: usize| (plot % cell.treatments) as f64 - middle;
    let block = (0..plots).map(|plot| plot / cell.treatments).collect();
    PlotTable {
        counts: vec![0; plots],
        exposure: vec![1.0; plots],
        treatment: factor("treatment", cell.treatments, allocation.to_vec()),
        block_structure: BlockStructure::Blocks(factor("block", cell.blocks, block)),
        inference: InferenceSpace::Narrow,
        before: taken_out.then(|| (0..plots).map(place).collect()),
    }
}
