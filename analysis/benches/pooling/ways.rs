//! Ways to pool, and how often the interval of each holds the truth.

use halfgreen_analysis::meta_analysis::{
    BetweenVariance, Effect, IntervalMethod, PoolOptions, pool,
};
use halfgreen_analysis::random::{Generator, shuffle};

use crate::clubs::{Cell, Club};

/// Numbers of clubs that are pooled.
pub(crate) const CLUBS: [usize; 3] = [5, 10, 40];

/// A way to pool.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Way {
    /// `DerSimonian` and Laird's estimator and the normal law on plain standard errors.
    Plain,
    /// Calibrated errors as if they were known, the Hartung-Knapp factor never below 1.
    Bounded,
    /// Calibrated errors as if they were known, the factor as it comes.
    Known,
    /// Every club with the same weight, Student's t.
    Equal,
    /// Calibrated errors with their degrees of freedom: what `pool` does unless told otherwise.
    Default,
}

pub(crate) const WAYS: [Way; 5] = [
    Way::Plain,
    Way::Bounded,
    Way::Known,
    Way::Equal,
    Way::Default,
];

impl Way {
    pub(crate) fn name(self) -> &'static str {
        match self {
            Self::Plain => "plain",
            Self::Bounded => "as if known; bounded",
            Self::Known => "as if known",
            Self::Equal => "equal weights",
            Self::Default => "default",
        }
    }

    fn effect(self, club: &Club) -> Option<Effect> {
        let headline = club.headline;
        match self {
            Self::Plain => club.plain,
            Self::Default => headline,
            Self::Bounded | Self::Known => headline.map(|e| Effect {
                degrees_of_freedom: None,
                ..e
            }),
            Self::Equal => headline.map(|e| Effect {
                standard_error: 1.0,
                degrees_of_freedom: None,
                ..e
            }),
        }
    }

    fn options(self) -> PoolOptions {
        let usual = PoolOptions::default();
        match self {
            Self::Plain => PoolOptions {
                between: BetweenVariance::DerSimonianLaird,
                interval: IntervalMethod::Normal,
                ..usual
            },
            Self::Known | Self::Equal => PoolOptions {
                interval: IntervalMethod::HartungKnappUnbounded,
                ..usual
            },
            Self::Bounded | Self::Default => usual,
        }
    }
}

/// One way in one cell.
#[derive(Debug, Clone)]
pub(crate) struct Row {
    pub(crate) seed: u64,
    pub(crate) cell: String,
    pub(crate) clubs: usize,
    pub(crate) way: String,
    /// Pools made in one turn.
    pub(crate) pools: usize,
    /// Share whose interval holds the average log ratio.
    pub(crate) covered: f64,
    /// Mean width of the interval.
    pub(crate) width: f64,
    /// Mean of the estimates less the truth.
    pub(crate) bias: f64,
    /// Share of clubs without an estimate.
    pub(crate) left_out: f64,
}

/// Times that the clubs of a cell are put together anew, each time every club in one pool of each number: what chance puts together
/// then matters less.
const TURNS: u64 = 5;

/// Pools the clubs of a cell in every number and way.
pub(crate) fn run(cell: &Cell, clubs: &[Club], seed: u64) -> Vec<Row> {
    let mut generator = Generator::new(seed, 0);
    let turns: Vec<Vec<Club>> = (0..TURNS)
        .map(|_| {
            let mut turned = clubs.to_vec();
            shuffle(&mut generator, &mut turned);
            turned
        })
        .collect();
    let mut out = Vec::new();
    for number in CLUBS {
        for way in WAYS {
            out.push(row(cell, &turns, seed, number, way));
        }
    }
    out
}

fn row(cell: &Cell, turns: &[Vec<Club>], seed: u64, number: usize, way: Way) -> Row {
    let (mut pools, mut covered, mut width, mut bias, mut used) = (0, 0.0, 0.0, 0.0, 0);
    let truth = cell.ratio.ln();
    for some in turns.iter().flat_map(|clubs| clubs.chunks_exact(number)) {
        let effects: Vec<Effect> = some.iter().filter_map(|club| way.effect(club)).collect();
        used += effects.len();
        // With fewer than two clubs left there is nothing to pool: none of these cells comes to it often.
        if effects.len() < 2 {
            continue;
        }
        let found = pool(&effects, &way.options()).unwrap();
        pools += 1;
        covered += f64::from(u8::from(found.low <= truth && truth <= found.high));
        width += found.high - found.low;
        bias += found.effect - truth;
    }
    let clubs = turns.first().map_or(0, Vec::len);
    let all = turns.len() * (clubs / number) * number;
    let share = |sum: f64| sum / f64::from(pools);
    Row {
        seed,
        cell: cell.key(),
        clubs: number,
        way: way.name().to_owned(),
        pools: clubs / number,
        covered: share(covered),
        width: share(width),
        bias: share(bias),
        left_out: 1.0 - used as f64 / all as f64,
    }
}
