//! One cell: false claims, coverage and power over many trials.

use std::collections::BTreeMap;
use std::sync::{Arc, Mutex};

use halfgreen_analysis::comparison::{
    Better, BlockStructure, Call, InferenceSpace, PlotTable, PreparedTest, PrimaryTest, Question,
    Settings,
};
use halfgreen_analysis::counts::{Factor, ModelMatrix};
use halfgreen_analysis::random::Generator;
use halfgreen_analysis::randomisation::{RandomisationSettings, Scheme};
use rayon::prelude::*;

use crate::cells::{Cell, Site};
use crate::field::{self, Trial};
use crate::practice::{self, Columns};

/// Seed of every cell; a trial's number is its stream.
pub(crate) const SEED: u64 = 20_261_125;

/// Ratios of treatment to control at which power and coverage are measured.
pub(crate) const RATIOS: [f64; 2] = [0.5, 0.25];

/// Null trials for each trial with an effect.
pub(crate) const EFFECTS: u64 = 5;

/// Tests that are tried: the headline, the randomisation test, and the common analyses.
pub(crate) const TESTS: usize = 2 + practice::NAMES.len();

/// Shares of trials, from 0 to 1.
#[derive(Debug, Clone)]
pub(crate) struct Outcome {
    pub(crate) cell: Cell,
    pub(crate) trials: u64,
    /// False claims of the headline test and of the randomisation test, any treatment; then of each common analysis.
    pub(crate) claims: [f64; TESTS],
    /// By ratio: the intervals of all treatments hold the truth.
    pub(crate) covered: [f64; 2],
    /// By ratio: the headline test, the randomisation test, then each common analysis, finds treatment 1 (the count
    /// models of four treatments: any difference).
    pub(crate) power: [[f64; TESTS]; 2],
    /// Searches that did not settle.
    pub(crate) failed: u64,
}

/// Everything that stays the same over the trials of a layout.
struct Prepared {
    screen: PreparedTest,
    /// The randomisation test in the lead where it does not lead by itself; of two treatments only, for closed testing
    /// of more takes too long.
    redrawn: Option<PreparedTest>,
    columns: Columns,
}

fn prepare(block: &[usize], treatment: &[usize]) -> Option<Prepared> {
    let names = |codes: &[usize]| codes.iter().map(ToString::to_string).collect::<Vec<_>>();
    // Levels in the order of their numbers, whichever plot comes first.
    let levels = treatment.iter().max()? + 1;
    let treatments = Factor {
        name: "treatment".to_owned(),
        levels: (0..levels).map(|l| l.to_string()).collect(),
        codes: treatment.to_vec(),
    };
    let blocks = Factor::from_labels("block", &names(block), None);
    let pieces = blocks.levels.len();
    let base = ModelMatrix::with_intercept(block.len()).factor(&blocks);
    let (full, null) = (
        base.clone().factor(&treatments).build().ok()?,
        base.build().ok()?,
    );
    if full.rows() <= full.width() {
        return None;
    }
    let plots: Vec<usize> = (0..levels)
        .map(|l| treatment.iter().filter(|&&t| t == l).count())
        .collect();
    let columns = Columns::new(full, null, &plots)?;
    let settings = Settings {
        scheme: Some(Scheme::blocks(&blocks.codes)),
        primary_test: None,
        randomisation: RandomisationSettings {
            draws: 1999,
            ..RandomisationSettings::default()
        },
    };
    let table = PlotTable {
        counts: vec![0; block.len()],
        exposure: vec![1.0; block.len()],
        treatment: treatments,
        block_structure: BlockStructure::Blocks(blocks),
        inference: InferenceSpace::Narrow,
        before: None,
    };
    let question = Question {
        alpha: 0.05,
        better: Better::Fewer,
        worthwhile_ratio: 0.5,
    };
    let redrawn = Settings {
        primary_test: Some(PrimaryTest::Randomisation),
        ..settings.clone()
    };
    let screen = PreparedTest::new(table.clone(), question, settings).ok()?;
    Some(Prepared {
        // With fewer than six pairs it can find nothing; with many it is the headline test.
        redrawn: (levels == 2 && pieces >= 6 && screen.primary_test() == PrimaryTest::Model)
            .then(|| PreparedTest::new(table, question, redrawn).ok())
            .flatten(),
        screen,
        columns,
    })
}

/// Layouts that occurred, each prepared once: where plots are lost, few patterns make up most trials.
#[derive(Default)]
struct Layouts(Mutex<BTreeMap<Pattern, Arc<Option<Prepared>>>>);

/// Block and treatment of every plot.
type Pattern = Vec<(usize, usize)>;

impl Layouts {
    fn prepared(&self, trial: &Trial) -> Arc<Option<Prepared>> {
        let plots = trial.block.iter().copied();
        let key: Vec<_> = plots.zip(trial.treatment.iter().copied()).collect();
        if let Some(known) = self.0.lock().unwrap().get(&key) {
            return Arc::clone(known);
        }
        let new = Arc::new(prepare(&trial.block, &trial.treatment));
        self.0.lock().unwrap().insert(key, Arc::clone(&new));
        new
    }
}

/// The same trial, its plots in order of treatment within blocks and its blocks in order of the treatments they hold, so that
/// trials of one pattern are alike.
fn in_order(trial: &Trial) -> Trial {
    let mut blocks: BTreeMap<usize, Vec<(usize, u64)>> = BTreeMap::new();
    for ((&block, &treatment), &count) in
        (trial.block.iter().zip(&trial.treatment)).zip(&trial.counts)
    {
        blocks.entry(block).or_default().push((treatment, count));
    }
    let mut blocks: Vec<_> = blocks.into_values().collect();
    for plots in &mut blocks {
        plots.sort_by_key(|plot| plot.0);
    }
    let held = |plots: &Vec<(usize, u64)>| plots.iter().map(|p| p.0).collect::<Vec<_>>();
    blocks.sort_by_key(held);
    let mut out = Trial {
        block: Vec::new(),
        treatment: Vec::new(),
        counts: Vec::new(),
    };
    for (block, plots) in blocks.into_iter().enumerate() {
        for (treatment, count) in plots {
            out.block.push(block);
            out.treatment.push(treatment);
            out.counts.push(count);
        }
    }
    out
}

/// Runs a cell.
pub(crate) fn run(cell: &Cell, trials: u64) -> Outcome {
    let correlation = (cell.site == Site::Field).then(|| field::factor(cell));
    let plain = field::draw(
        cell,
        correlation.as_ref(),
        1.0,
        &mut Generator::new(SEED, 0),
    );
    let fixed = (cell.site == Site::Blocks).then(|| prepare(&plain.block, &plain.treatment));
    let layouts = Layouts::default();
    let one = |ratio: f64, number: u64| -> Option<([bool; TESTS], bool, bool)> {
        let mut g = Generator::new(SEED, number);
        let trial = field::draw(cell, correlation.as_ref(), ratio, &mut g);
        if let Some(prepared) = &fixed {
            return judge(prepared.as_ref()?, &trial, ratio);
        }
        let trial = in_order(&trial);
        judge(layouts.prepared(&trial).as_ref().as_ref()?, &trial, ratio)
    };
    let many = |ratio: f64, trials: u64, first: u64| {
        let found: Vec<_> = (first..first + trials)
            .into_par_iter()
            .filter_map(|n| one(ratio, n))
            .collect();
        let mut shares = [0.0; TESTS];
        let (mut covered, mut failed) = (0.0, 0);
        for (claims, holds, settled) in &found {
            for (share, claim) in shares.iter_mut().zip(claims) {
                *share += f64::from(u8::from(*claim)) / found.len() as f64;
            }
            covered += f64::from(u8::from(*holds)) / found.len() as f64;
            failed += u64::from(!settled);
        }
        (shares, covered, failed)
    };
    let (claims, _, mut failed) = many(1.0, trials, 1);
    let (mut covered, mut power) = ([0.0; 2], [[0.0; TESTS]; 2]);
    for (at, ratio) in RATIOS.into_iter().enumerate() {
        let first = 1_000_000 * (at as u64 + 1);
        let (p, c, f) = many(ratio, trials / EFFECTS, first);
        covered[at] = c;
        power[at] = p;
        failed += f;
    }
    Outcome {
        cell: *cell,
        trials,
        claims,
        covered,
        power,
        failed,
    }
}

/// One trial: claims of the headline test and of the common analyses, whether the interval holds the
/// truth, and whether the search settled.
fn judge(prepared: &Prepared, trial: &Trial, ratio: f64) -> Option<([bool; TESTS], bool, bool)> {
    let called = prepared.screen.call(&trial.counts).ok()?;
    let redrawn = match &prepared.redrawn {
        Some(screen) => screen.call(&trial.counts).ok()?.calls,
        None if prepared.screen.primary_test() == PrimaryTest::Randomisation => {
            called.calls.clone()
        }
        None => Vec::new(),
    };
    let claimed = |call: &Call| matches!(call, Call::BeatTheControl | Call::DidWorse);
    let mut claims = [false; TESTS];
    for (claim, calls) in claims.iter_mut().zip([&called.calls, &redrawn]) {
        *claim = if ratio == 1.0 {
            calls.iter().any(claimed)
        } else {
            calls.first() == Some(&Call::BeatTheControl)
        };
    }
    claims[2..].copy_from_slice(&practice::claims(
        &prepared.columns,
        &trial.counts,
        ratio != 1.0,
    ));
    let mut truth = vec![1.0; called.calls.len()];
    truth[0] = ratio;
    let holds = ratio == 1.0
        || !prepared
            .screen
            .covers(&trial.counts, &truth)
            .ok()?
            .contains(&false);
    Some((claims, holds, called.converged))
}
