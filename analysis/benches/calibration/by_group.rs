//! Effects that differ from group to group (blocks with several plots of a treatment, or sites of several pairs): what
//! both inference spaces claim and cover, and what the spread between groups is told to be. Written to `BY_GROUP.md`.

use std::fmt::Write as _;

use halfgreen_analysis::comparison::{
    Better, BlockStructure, Call, InferenceSpace, PlotTable, PreparedTest, Question, Settings,
    effect_spreads,
};
use halfgreen_analysis::counts::Factor;
use halfgreen_analysis::distributions::negative_binomial::draw;
use halfgreen_analysis::random::Generator;
use halfgreen_analysis::randomisation::RandomisationSettings;
use rand_distr::{Distribution, StandardNormal};
use rayon::prelude::*;

/// Seed of every cell; a trial's number is its stream.
const SEED: u64 = 20_261_207;

/// Ratio of treatment to control at which coverage and power are measured.
const RATIO: f64 = 0.4;

/// One cell: two treatments, control plots with a mean of 8, groups with a standard deviation of 0.5.
struct Cell {
    groups: usize,
    plots: usize,
    /// Whether the plots of a group stand in pairs.
    pairs: bool,
    k: f64,
    /// Standard deviation of the log ratio between groups.
    sd: f64,
}

fn cells() -> Vec<Cell> {
    let mut out = Vec::new();
    for (groups, plots, pairs) in [
        (3, 2, false),
        (3, 4, false),
        (4, 2, false),
        (4, 3, false),
        (6, 2, false),
        (6, 4, false),
        (3, 2, true),
        (6, 2, true),
    ] {
        for k in [1.0, f64::INFINITY] {
            out.extend([0.0, 0.5].map(|sd| Cell {
                groups,
                plots,
                pairs,
                k,
                sd,
            }));
        }
    }
    out
}

/// Shares of trials: claims without a mean effect, intervals that hold the truth, effects found; in the narrow inference
/// space, then in the broad one; then spreads covered, and spreads told apart from none.
type Shares = [f64; 8];

fn run(cell: &Cell, trials: u64, seed: u64) -> Shares {
    let one = |number: u64| -> Option<Shares> {
        let mut g = Generator::new(seed, number);
        let (null, groups) = trial(cell, 1.0, &mut g);
        let (with, _) = trial(cell, RATIO, &mut g);
        let mut shares = [0.0; 8];
        let spaces = [
            InferenceSpace::Narrow,
            InferenceSpace::Broad(groups.clone()),
        ];
        for (at, inference) in spaces.into_iter().enumerate() {
            let question = Question {
                alpha: 0.05,
                better: Better::Fewer,
                worthwhile_ratio: 0.5,
            };
            let settings = Settings {
                scheme: None,
                primary_test: None,
                randomisation: RandomisationSettings::default(),
            };
            let table = PlotTable {
                inference,
                ..null.clone()
            };
            let test = PreparedTest::new(table, question, settings).ok()?;
            let claimed = |c: &Call| matches!(c, Call::BeatTheControl | Call::DidWorse);
            let share = |yes: bool| f64::from(u8::from(yes));
            shares[3 * at] = share(test.call(&null.counts).ok()?.calls.iter().any(claimed));
            shares[3 * at + 1] = share(test.covers(&with.counts, &[RATIO]).ok()?[0]);
            shares[3 * at + 2] =
                share(test.call(&with.counts).ok()?.calls[0] == Call::BeatTheControl);
        }
        if let Some(spread) = effect_spreads(&with, &groups, 0.05).ok()?.first() {
            shares[6] = f64::from(u8::from(spread.interval.contains(cell.sd)));
            shares[7] = f64::from(u8::from(spread.p <= 0.05));
        }
        Some(shares)
    };
    let found: Vec<Shares> = (1..=trials).into_par_iter().filter_map(one).collect();
    let mut out = [0.0; 8];
    for shares in &found {
        for (sum, share) in out.iter_mut().zip(shares) {
            *sum += share / found.len() as f64;
        }
    }
    out
}

/// A trial and its groups.
fn trial(cell: &Cell, ratio: f64, g: &mut Generator) -> (PlotTable, Factor) {
    let normal = |sd: f64, g: &mut Generator| -> f64 {
        let z: f64 = StandardNormal.sample(g);
        sd * z
    };
    let (mut counts, mut treatment, mut group, mut block) =
        (Vec::new(), Vec::new(), Vec::new(), Vec::new());
    for at in 0..cell.groups {
        let (ground, effect) = (normal(0.5, g), ratio.ln() + normal(cell.sd, g));
        for plot in 0..cell.plots {
            let pair = if cell.pairs { normal(0.3, g) } else { 0.0 };
            for code in 0..2 {
                let mean = 8.0 * (ground + pair + if code == 1 { effect } else { 0.0 }).exp();
                counts.push(draw(g, mean, cell.k));
                treatment.push(code);
                group.push(at.to_string());
                block.push(if cell.pairs {
                    format!("{at}.{plot}")
                } else {
                    at.to_string()
                });
            }
        }
    }
    let table = PlotTable {
        exposure: vec![1.0; counts.len()],
        counts,
        treatment: Factor {
            name: "treatment".to_owned(),
            levels: vec!["control".to_owned(), "method".to_owned()],
            codes: treatment,
        },
        block_structure: BlockStructure::Blocks(Factor::from_labels("block", &block, None)),
        inference: InferenceSpace::Narrow,
        before: None,
    };
    (table, Factor::from_labels("group", &group, None))
}

/// The page.
pub(crate) fn page(trials: u64, seed: Option<u64>) -> String {
    let seed = seed.unwrap_or(SEED);
    let mut out = format!(
        "# An effect that differs from group to group\n\n\
         Two treatments, control plots with a mean of 8, groups (greens, blocks) with a standard deviation of 0.5 on the log \
         scale, pairs within a group of 0.3; {trials} trials a cell, per cent (standard error at 5 %: {:.1}). \"These\": \
         plots are the error, the verdict is about these groups. \"Like these\": treatment by group is the error. The log \
         ratio is normal with the standard deviation given, about log 1 for false claims, about log {RATIO} for coverage \
         of 95 % intervals and for what is found. Spread: how often its 95 % interval holds the true standard deviation, \
         and how often F tells it from none at 5 %. Made by `cargo bench -p halfgreen-analysis --bench calibration`.\n\n\
         | groups | plots each | k | SD | false, these | false, like these | covers, these | covers, like these | finds, \
         these | finds, like these | spread covers | spread told |\n|---|---|---|---|---|---|---|---|---|---|---|---|\n",
        100.0 * (0.05 * 0.95 / trials as f64).sqrt()
    );
    for cell in cells() {
        let s = run(&cell, trials, seed).map(|share| 100.0 * share);
        let _ = writeln!(
            out,
            "| {}{} | {} | {} | {} | {:.1} | {:.1} | {:.1} | {:.1} | {:.1} | {:.1} | {:.1} | {:.1} |",
            cell.groups,
            if cell.pairs { " of pairs" } else { "" },
            cell.plots,
            if cell.k.is_finite() {
                cell.k.to_string()
            } else {
                "Poisson".to_owned()
            },
            cell.sd,
            s[0],
            s[3],
            s[1],
            s[4],
            s[2],
            s[5],
            s[6],
            s[7]
        );
    }
    out
}
