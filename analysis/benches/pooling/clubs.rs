//! Simulated clubs: raw counts, and what each club's own analysis says.

use halfgreen_analysis::comparison::{
    Better, BlockStructure, InferenceSpace, PlotTable, PreparedTest, PrimaryTest, Question,
    Settings,
};
use halfgreen_analysis::counts::{Factor, Family, ModelMatrix, fit};
use halfgreen_analysis::distributions::negative_binomial;
use halfgreen_analysis::distributions::t_quantile;
use halfgreen_analysis::meta_analysis::{ArmTotal, Effect, TrialCounts};
use halfgreen_analysis::random::Generator;
use halfgreen_analysis::randomisation::RandomisationSettings;
use rand_distr::{Distribution, StandardNormal, StandardUniform};
use rayon::prelude::*;

/// What clubs of a cell are like.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Cell {
    /// k and mean of a control plot; `None`: each club has its own, k from 0.5 to 2, means from 2 to 20, blocks from 0 to 1.
    pub(crate) plots: Option<(f64, f64)>,
    /// Standard deviation of log ratios between clubs.
    pub(crate) tau: f64,
    /// The average ratio of treatment to control (the exponential of the average log ratio).
    pub(crate) ratio: f64,
}

impl Cell {
    /// How its lines begin, after the seed.
    pub(crate) fn key(&self) -> String {
        let (k, mean) = self.plots.map_or_else(
            || ("0.5 to 2".to_owned(), "2 to 20".to_owned()),
            |(k, mean)| (k.to_string(), mean.to_string()),
        );
        format!("{k},{mean},{},{}", self.tau, self.ratio)
    }
}

pub(crate) fn cells() -> Vec<Cell> {
    let mut out = Vec::new();
    for plots in [
        Some((0.5, 2.0)),
        Some((0.5, 20.0)),
        Some((2.0, 2.0)),
        Some((2.0, 20.0)),
        None,
    ] {
        for tau in [0.0, 0.3] {
            out.extend([1.0, 0.5].map(|ratio| Cell { plots, tau, ratio }));
        }
    }
    out
}

/// What one club's analysis gives to the pool; `None` where an arm is empty or no limit is to be had.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Club {
    /// The log of the headline's ratio; its standard error from the headline's interval.
    pub(crate) headline: Option<Effect>,
    /// Estimate and Wald's standard error of a negative binomial model with blocks as constants.
    pub(crate) plain: Option<Effect>,
    /// Totals of both arms, empty or not, with k of the headline's model times the plots of an arm.
    pub(crate) totals: TrialCounts,
}

/// Fewest and most pairs of a club; every number between is as likely.
const PAIRS: [usize; 2] = [4, 8];

/// Standard deviation of blocks on the log scale, where clubs are alike.
const BLOCKS: f64 = 0.5;

/// Draws the clubs of the cell numbered `place`; cells have streams of their own.
pub(crate) fn draw(cell: &Cell, place: u64, number: u64, seed: u64) -> Vec<Club> {
    let designs: Vec<Design> = (PAIRS[0]..=PAIRS[1]).map(Design::new).collect();
    let club = |at: u64| {
        let mut g = Generator::new(seed, 1_000_000 * place + at);
        let design = &designs[usize::try_from(g.below(designs.len() as u64)).unwrap()];
        design.judge(&counts(cell, design.pairs, &mut g))
    };
    (1..=number).into_par_iter().map(club).collect()
}

/// Counts of a club, pair by pair, the control first.
fn counts(cell: &Cell, pairs: usize, g: &mut Generator) -> Vec<u64> {
    let normal = |g: &mut Generator| -> f64 { StandardNormal.sample(g) };
    let share = |g: &mut Generator| -> f64 { StandardUniform.sample(g) };
    let (k, mean, blocks) = cell.plots.map_or_else(
        || {
            (
                0.5 * 4_f64.powf(share(g)),
                2.0 * 10_f64.powf(share(g)),
                share(g),
            )
        },
        |(k, mean)| (k, mean, BLOCKS),
    );
    let effect = cell.ratio.ln() + cell.tau * normal(g);
    let mut out = Vec::with_capacity(2 * pairs);
    for _ in 0..pairs {
        let level = mean.ln() + blocks * normal(g);
        for log in [level, level + effect] {
            out.push(negative_binomial::draw(g, log.exp(), k));
        }
    }
    out
}

/// Pairs of one number, their analyses prepared once.
struct Design {
    pairs: usize,
    headline: PreparedTest,
    plain: ModelMatrix,
}

impl Design {
    fn new(pairs: usize) -> Self {
        let treatment = Factor {
            name: "treatment".to_owned(),
            levels: vec!["control".to_owned(), "method".to_owned()],
            codes: (0..2 * pairs).map(|plot| plot % 2).collect(),
        };
        let block = Factor {
            name: "block".to_owned(),
            levels: (0..pairs).map(|b| b.to_string()).collect(),
            codes: (0..2 * pairs).map(|plot| plot / 2).collect(),
        };
        let columns = ModelMatrix::with_intercept(2 * pairs).factor(&treatment);
        let plain = columns.factor(&block).build().unwrap();
        let table = PlotTable {
            counts: vec![0; 2 * pairs],
            exposure: vec![1.0; 2 * pairs],
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
            // Of eight pairs and fewer the model test leads.
            primary_test: Some(PrimaryTest::Model),
            randomisation: RandomisationSettings::default(),
        };
        Self {
            pairs,
            headline: PreparedTest::new(table, question, settings).unwrap(),
            plain,
        }
    }

    fn judge(&self, counts: &[u64]) -> Club {
        let found = self.headline.estimate(counts).unwrap().remove(0);
        let width = found.interval.high.ln() - found.interval.low.ln();
        let headline = found.ratio.map(|ratio| Effect {
            estimate: ratio.ln(),
            standard_error: width / (2.0 * t_quantile(0.975, found.df)),
            degrees_of_freedom: Some(found.df),
        });
        let offset = vec![0.0; counts.len()];
        let model = fit(counts, &offset, &self.plain, Family::NegativeBinomial).unwrap();
        let plain = Effect {
            estimate: model.coefficients[1].estimate,
            standard_error: model.coefficients[1].se,
            degrees_of_freedom: None,
        };
        let of = |arm: usize| counts.iter().skip(arm).step_by(2).sum::<u64>();
        let whole = of(0) > 0 && of(1) > 0;
        let total = |count| ArmTotal {
            count,
            exposure: self.pairs as f64,
            k: found.k.map_or(f64::INFINITY, |k| k * self.pairs as f64),
        };
        let usable = |e: &Effect| whole && e.estimate.is_finite() && e.standard_error.is_finite();
        Club {
            headline: headline.filter(usable),
            plain: Some(plain).filter(usable),
            totals: TrialCounts {
                treated: total(of(1)),
                control: total(of(0)),
            },
        }
    }
}
