//! Treatments that scatter unlike: k or empty places that differ from one to the next, methods that wipe out beside one
//! that does nothing, variance in proportion to the mean. Written to `UNLIKE.md`.

use std::fmt::Write as _;

use halfgreen_analysis::comparison::{
    Better, BlockStructure, Call, InferenceSpace, PlotTable, PreparedTest, PrimaryTest, Question,
    Settings,
};
use halfgreen_analysis::counts::{Factor, ModelMatrix};
use halfgreen_analysis::distributions::negative_binomial::draw;
use halfgreen_analysis::random::Generator;
use halfgreen_analysis::randomisation::RandomisationSettings;
use rand_distr::{Distribution, StandardNormal};
use rayon::prelude::*;

use crate::practice::{Columns, VARIANCE};

/// Seed of every cell, none that the test was chosen with; a trial's number is its stream.
const SEED: u64 = 20_261_130;

/// How one treatment's counts lie.
#[derive(Debug, Clone, Copy)]
enum Law {
    /// Negative binomial with this k; infinite for Poisson.
    K(f64),
    /// Poisson, but for this share of empty plots.
    Zeros(f64),
    /// Negative binomial with this variance over the mean, whatever the mean.
    Proportional(f64),
}

/// One cell: the first treatment after the control is the one looked at.
struct Cell {
    name: &'static str,
    blocks: usize,
    mean: f64,
    /// Ratio to the control and law of each treatment, the control first.
    arms: Vec<(f64, Law)>,
}

fn cells() -> Vec<Cell> {
    let mut out = Vec::new();
    for blocks in [4, 8, 21, 40] {
        for mean in [2.0, 10.0] {
            for (name, control, treated) in [
                ("k 0.5 against Poisson", Law::K(0.5), Law::K(f64::INFINITY)),
                ("Poisson against k 0.5", Law::K(f64::INFINITY), Law::K(0.5)),
                ("k 2 against k 0.5", Law::K(2.0), Law::K(0.5)),
                (
                    "Poisson against half empty",
                    Law::K(f64::INFINITY),
                    Law::Zeros(0.5),
                ),
                ("k 2 against k 2", Law::K(2.0), Law::K(2.0)),
                (
                    "variance 4 times the mean",
                    Law::Proportional(4.0),
                    Law::Proportional(4.0),
                ),
            ] {
                let arms = vec![(1.0, control), (1.0, treated)];
                out.push(Cell {
                    name,
                    blocks,
                    mean,
                    arms,
                });
            }
        }
    }
    for blocks in [4, 8] {
        for k in [0.8, 2.0] {
            let wiped = [(0.02, Law::K(k)); 4];
            let mut arms = vec![(1.0, Law::K(k)); 2];
            arms.extend(wiped);
            let name = if k == 2.0 {
                "beside 4 that wipe out, k 2"
            } else {
                "beside 4 that wipe out, k 0.8"
            };
            out.push(Cell {
                name,
                blocks,
                mean: 10.0,
                arms,
            });
        }
    }
    out
}

/// False claims of the headline and of the analyses of variance, then trials whose interval holds 0.5, and in which
/// the reader is told that treatments differ in k.
const SHARES: usize = VARIANCE + 3;

/// The headline test and the analyses of variance for a cell.
fn prepare(cell: &Cell) -> (PreparedTest, Columns) {
    let levels = cell.arms.len();
    let labels = |of: fn(usize, usize) -> usize| -> Vec<String> {
        (0..cell.blocks * levels)
            .map(|plot| of(plot, levels).to_string())
            .collect()
    };
    let treatment = Factor::from_labels("treatment", &labels(|p, n| p % n), Some("0"));
    let block = Factor::from_labels("block", &labels(|p, n| p / n), None);
    let base = ModelMatrix::with_intercept(cell.blocks * levels).factor(&block);
    let full = base.clone().factor(&treatment).build().unwrap();
    let columns = Columns::new(full, base.build().unwrap(), &vec![cell.blocks; levels]).unwrap();
    let table = PlotTable {
        counts: vec![0; cell.blocks * levels],
        exposure: vec![1.0; cell.blocks * levels],
        treatment,
        block_structure: BlockStructure::Blocks(block),
        inference: InferenceSpace::Narrow,
        before: None,
    };
    let question = Question {
        alpha: 0.05,
        better: Better::Fewer,
        worthwhile_ratio: 0.5,
    };
    let settings = Settings {
        scheme: None,
        primary_test: Some(PrimaryTest::Model),
        randomisation: RandomisationSettings::default(),
    };
    (
        PreparedTest::new(table, question, settings).unwrap(),
        columns,
    )
}

fn run(cell: &Cell, trials: u64) -> [f64; SHARES] {
    let (test, columns) = prepare(cell);
    let one = |number: u64| -> [f64; SHARES] {
        let mut g = Generator::new(SEED, number);
        let null = counts(cell, 1.0, &mut g);
        let with = counts(cell, 0.5, &mut g);
        let mut shares = [0.0; SHARES];
        let share = |yes: bool| f64::from(u8::from(yes));
        let claimed = |c: &Call| matches!(c, Call::BeatTheControl | Call::DidWorse);
        let found = test.call(&null).unwrap();
        shares[0] = share(claimed(&found.calls[0]));
        shares[VARIANCE + 2] = share(found.k_differs);
        for (at, claim) in columns.first_differs(&null).into_iter().enumerate() {
            shares[at + 1] = share(claim);
        }
        shares[VARIANCE + 1] = share(test.covers(&with, &[0.5]).unwrap()[0]);
        shares
    };
    let found: Vec<[f64; SHARES]> = (1..=trials).into_par_iter().map(one).collect();
    std::array::from_fn(|at| found.iter().map(|shares| shares[at]).sum::<f64>() / trials as f64)
}

/// A method with a k of 0.5 beside a reference of k 2 and an untreated control with three times as many; the method
/// holds as many more as the margin allows.
fn at_the_margin(blocks: usize, mean: f64) -> Cell {
    Cell {
        name: "at the margin",
        blocks,
        mean,
        arms: vec![(1.0, Law::K(2.0)), (1.0, Law::K(0.5)), (3.0, Law::K(2.0))],
    }
}

/// How much worse than the reference would still do.
const MARGIN: f64 = 1.2;

/// Share of trials at the margin in which the interval's upper limit is below it: "no worse" is said, wrongly.
fn said_no_worse(cell: &Cell, trials: u64) -> f64 {
    let (test, _) = prepare(cell);
    let wrongly = |number: u64| {
        let counts = counts(cell, MARGIN, &mut Generator::new(SEED, number));
        let total = |arm: usize| counts.iter().skip(arm).step_by(3).sum::<u64>() as f64;
        total(1) < MARGIN * total(0) && !test.covers(&counts, &[MARGIN]).unwrap()[0]
    };
    let found = (1..=trials)
        .into_par_iter()
        .filter(|&number| wrongly(number));
    found.count() as f64 / trials as f64
}

/// Counts of a trial, blocks with a standard deviation of 0.4 on the log scale; the first treatment has `ratio` times
/// what its cell says.
fn counts(cell: &Cell, ratio: f64, g: &mut Generator) -> Vec<u64> {
    let mut out = Vec::with_capacity(cell.blocks * cell.arms.len());
    for _ in 0..cell.blocks {
        let z: f64 = StandardNormal.sample(g);
        for (at, &(of_control, law)) in cell.arms.iter().enumerate() {
            let own = if at == 1 { ratio } else { 1.0 };
            let mean = cell.mean * of_control * own * (0.4 * z).exp();
            out.push(match law {
                Law::K(k) => draw(g, mean, k),
                Law::Zeros(share) => {
                    let count = draw(g, mean / (1.0 - share), f64::INFINITY);
                    if g.unit() < share { 0 } else { count }
                }
                Law::Proportional(factor) => draw(g, mean, mean / (factor - 1.0)),
            });
        }
    }
    out
}

/// The page.
pub(crate) fn page(trials: u64) -> String {
    let mut out = format!(
        "# Treatments that scatter unlike\n\n\
         Written by `cargo bench -p halfgreen-analysis --bench calibration` with `HALFGREEN_UNLIKE` set, seed {SEED}, {trials} trials in every cell \
         (standard error of a rate of 5 %: {:.2} points). Blocks have a standard deviation of 0.4 on the log scale. False claims in per cent that \
         the first treatment differs from a control with the same mean, by the headline (model test), and by common analyses of variance with Dunnett's bounds; then how often the headline's \
         interval holds a true ratio of 0.5, the treatment's k as before; and in how many of the trials without effect the reader is warned that the treatments differ in k.\n\n\
         | counts of control and treatment | blocks | mean | headline | ANOVA of counts | ANOVA of log(x + 1) | ANOVA of sqrt(x + 0.5) | interval holds 0.5 | warned |\n\
         |---|---|---|---|---|---|---|---|---|\n",
        100.0 * (0.0475 / trials as f64).sqrt()
    );
    for cell in cells() {
        let shares = run(&cell, trials).map(|share| 100.0 * share);
        let _ = writeln!(
            out,
            "| {} | {} | {} | {:.1} | {:.1} | {:.1} | {:.1} | {:.1} | {:.1} |",
            cell.name,
            cell.blocks,
            cell.mean,
            shares[0],
            shares[1],
            shares[2],
            shares[3],
            shares[VARIANCE + 1],
            shares[VARIANCE + 2]
        );
    }
    let _ = write!(
        out,
        "\n## At the margin\n\nA method is said to be no worse than a reference where the upper limit of its ratio lies below {MARGIN}. Here the ratio is \
         {MARGIN}, the reference has k 2, the method k 0.5, and a third treatment is untreated with three times as many: how often it is said, per cent (2.5 or \
         less are asked for).\n\n| blocks | mean | said |\n|---|---|---|\n"
    );
    for blocks in [4, 8, 12] {
        for mean in [2.0, 10.0] {
            let share = 100.0 * said_no_worse(&at_the_margin(blocks, mean), trials);
            let _ = writeln!(out, "| {blocks} | {mean} | {share:.1} |");
        }
    }
    out
}
