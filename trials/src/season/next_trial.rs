//! The next trial: power over blocks and cores, the cheapest plan that will do, what it would tell.

use halfgreen_analysis::answers::Caution;
use halfgreen_analysis::chance::Generator;
use halfgreen_analysis::power::assurance::Knowledge;
use halfgreen_analysis::power::blocked;
use halfgreen_analysis::power::cores::{Components, whole_optimum};
use halfgreen_analysis::power::detectable::{Detectable, smallest_reduction};
use halfgreen_analysis::power::simulated::{Effort, Ground, Shares, SimulatedTrial, shares};
use serde::Serialize;

use super::prices::Prices;
use super::truths::{Truth, truths};
use super::wish::Wish;
use crate::Error;

/// One plan of the table.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Cell {
    /// Complete blocks.
    pub blocks: usize,
    /// Cores in each plot.
    pub cores_per_plot: usize,
    /// Share of simulated trials in which the headline test found the reduction.
    pub power: f64,
    /// Monte-Carlo standard error of the power.
    pub power_se: f64,
    /// Trials simulated; fewer than asked for where the answer was clear early.
    pub trials: usize,
    /// Power by formula, for comparison.
    pub preview: f64,
    /// Cost, where prices were given.
    pub cost: Option<f64>,
    /// People's hours, where minutes were given.
    pub hours: Option<f64>,
}

/// The plan to take, worked out with fresh trials and to the full number.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Suggestion {
    /// Whether it reaches the wished power.
    pub reached: bool,
    /// The plan.
    pub plan: Cell,
    /// Why this one, in a sentence.
    pub sentence: String,
    /// Power averaged over what is not known of the ground.
    pub assurance: f64,
    /// Its Monte-Carlo standard error.
    pub assurance_se: f64,
    /// The same plan with one block more.
    pub extra_block: Cell,
    /// Smallest reduction that this plan finds with the wished power.
    pub smallest_reduction: Option<Detectable>,
    /// Cores per plot at which power costs least, where plots and cores are priced.
    pub optimum_cores: Option<usize>,
    /// Verdicts under several truths.
    pub truths: Vec<Truth>,
}

/// What everything rests on.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Assumptions {
    /// The wish.
    pub wish: Wish,
    /// The ground at the centre of what is known.
    pub ground: Ground,
    /// What is known of it.
    pub known: Knowledge,
    /// The test, in words.
    pub test: String,
    /// Trials asked for in each cell.
    pub trials: usize,
    /// Prices.
    pub prices: Prices,
}

/// The whole answer.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct NextTrial {
    /// Power over blocks and cores.
    pub table: Vec<Cell>,
    /// The plan to take, or the nearest to the wish.
    pub suggestion: Suggestion,
    /// What it rests on.
    pub assumptions: Assumptions,
    /// What the reader must know.
    #[serde(skip)]
    pub cautions: Vec<Caution>,
}

/// How to work it out: the test that will judge, how much to simulate, and the seed.
#[derive(Debug, Clone)]
pub struct Method<V> {
    /// Returns the number of the verdict in [`CALLS`](super::truths::CALLS) for the first method.
    pub test: V,
    /// The test in words.
    pub name: String,
    /// Trials in each cell, at most.
    pub trials: usize,
    /// Seed.
    pub seed: u64,
}

/// Works out the table and the suggestion. `done` hears after each cell how many of how many are ready.
///
/// # Errors
/// An impossible wish, with the reason and the nearest possible plan.
pub fn next_trial<V>(
    wish: &Wish,
    known: &Knowledge,
    prices: &Prices,
    method: &Method<V>,
    done: &dyn Fn(usize, usize),
) -> Result<NextTrial, Error>
where
    V: Fn(&SimulatedTrial) -> usize + Sync,
{
    wish.check(known)?;
    let ground = known.centre();
    let desk = Desk {
        wish,
        known,
        ground,
        prices,
        method,
    };
    let blocks = desk.blocks()?;
    let total = blocks.len() * wish.cores.len();
    let mut table = Vec::with_capacity(total);
    for (column, &cores) in wish.cores.iter().enumerate() {
        for &blocks in &blocks {
            // One stream a column: more blocks extend the same trials, so that the curve is smooth.
            table.push(desk.cell(blocks, cores, column, Some(wish.power))?);
            done(table.len(), total);
        }
    }
    let suggestion = desk.suggest(&table)?;
    let assumptions = Assumptions {
        wish: wish.clone(),
        ground,
        known: *known,
        test: method.name.clone(),
        trials: method.trials,
        prices: *prices,
    };
    let cautions = cautions(&suggestion, &table);
    Ok(NextTrial {
        table,
        suggestion,
        assumptions,
        cautions,
    })
}

/// Everything that stays the same from cell to cell.
struct Desk<'a, V> {
    wish: &'a Wish,
    known: &'a Knowledge,
    ground: Ground,
    prices: &'a Prices,
    method: &'a Method<V>,
}

impl<V: Fn(&SimulatedTrial) -> usize + Sync> Desk<'_, V> {
    /// Ten numbers of blocks: from 3 up, or wider apart when the preview asks for many.
    fn blocks(&self) -> Result<Vec<usize>, Error> {
        if !self.wish.blocks.is_empty() {
            return Ok(self.wish.blocks.clone());
        }
        let cores = self.wish.cores.iter().copied().max().unwrap_or(1);
        let plan = self.wish.plan(2, cores);
        // Beyond 100 blocks no green has room; the table then shows how far off the wish is.
        let needed =
            blocked::blocks_for(&plan, &self.ground, self.wish.alpha, self.wish.power, 100)?;
        let needed = needed.unwrap_or(100);
        if needed <= 9 {
            return Ok((3..=12).collect());
        }
        let step = (needed * 13).div_ceil(100);
        Ok((1..=10).map(|i| i * step).collect())
    }

    fn simulate(
        &self,
        plan: (usize, usize),
        cell: usize,
        clear: Option<f64>,
    ) -> Result<Shares, Error> {
        let plan = self.wish.plan(plan.0, plan.1);
        let effort = Effort {
            trials: self.method.trials,
            until_clear_of: clear,
        };
        let stream = (self.method.seed, u32::try_from(cell).unwrap_or(u32::MAX));
        let fixed = |_: &mut Generator| self.ground;
        Ok(shares(
            &plan,
            fixed,
            (effort, 4),
            stream,
            &self.method.test,
        )?)
    }

    fn cell(
        &self,
        blocks: usize,
        cores: usize,
        cell: usize,
        clear: Option<f64>,
    ) -> Result<Cell, Error> {
        let plan = self.wish.plan(blocks, cores);
        let found = self.simulate((blocks, cores), cell, clear)?;
        let treated = blocks * self.wish.methods;
        Ok(Cell {
            blocks,
            cores_per_plot: cores,
            power: found.share(0),
            power_se: found.se(0),
            trials: found.trials,
            preview: blocked::power(&plan, &self.ground, self.wish.alpha)?,
            cost: self.prices.cost(plan.plots(), treated, cores),
            hours: self.prices.hours(plan.plots(), cores),
        })
    }

    /// Fresh streams, numbered from here, so that a cell which passed by luck is found out.
    const FRESH: usize = 1 << 20;

    fn suggest(&self, table: &[Cell]) -> Result<Suggestion, Error> {
        for (i, cell) in by_cost(table)
            .iter()
            .filter(|c| c.power >= self.wish.power)
            .enumerate()
        {
            let again = self.cell(cell.blocks, cell.cores_per_plot, Self::FRESH + i, None)?;
            if again.power >= self.wish.power {
                let order = if again.cost.is_some() {
                    "cheapest"
                } else {
                    "smallest"
                };
                let sentence = format!(
                    "{} blocks with {} cores in each plot: the {order} plan in the table that finds a reduction of \
                     {:.0} % in at least {:.0} of 100 trials.",
                    again.blocks,
                    again.cores_per_plot,
                    100.0 * self.wish.reduction,
                    100.0 * self.wish.power
                );
                return self.in_full(again, true, sentence);
            }
        }
        let strongest = table
            .iter()
            .copied()
            .reduce(|a, b| if b.power > a.power { b } else { a });
        let Some(best) = strongest else {
            return Err(Error::new(
                "--blocks",
                "there is no plan in the table",
                "Give some.",
            ));
        };
        let best = self.cell(best.blocks, best.cores_per_plot, Self::FRESH, None)?;
        let plan = self.wish.plan(2, best.cores_per_plot);
        let needed =
            blocked::blocks_for(&plan, &self.ground, self.wish.alpha, self.wish.power, 1000)?;
        let beyond = match needed {
            Some(blocks) if blocks > best.blocks => format!(
                "by formula it would take about {blocks} blocks of {} cores",
                best.cores_per_plot
            ),
            Some(_) => "the formula hopes for more than the test itself gives".to_owned(),
            None => "by formula not even 1 000 blocks would do".to_owned(),
        };
        let sentence = format!(
            "No plan in the table finds a reduction of {:.0} % in {:.1} of 100 trials; the nearest, {} blocks with \
             {} cores in each plot, finds it in about {:.0}; {beyond}.",
            100.0 * self.wish.reduction,
            100.0 * self.wish.power,
            best.blocks,
            best.cores_per_plot,
            100.0 * best.power
        );
        self.in_full(best, false, sentence)
    }

    fn in_full(&self, plan: Cell, reached: bool, sentence: String) -> Result<Suggestion, Error> {
        let (blocks, cores) = (plan.blocks, plan.cores_per_plot);
        let next = Self::FRESH << 1;
        let effort = Effort {
            trials: self.method.trials,
            until_clear_of: None,
        };
        let wished = self.wish.plan(blocks, cores);
        let seed = self.method.seed;
        let draw = |g: &mut Generator| self.known.draw(g);
        let cell = u32::try_from(next).unwrap_or(u32::MAX);
        let averaged = shares(&wished, draw, (effort, 4), (seed, cell), &self.method.test)?;
        let beats = |trial: &SimulatedTrial| (self.method.test)(trial) == 0;
        // Seven halvings: a quarter of the trials each keeps the search as cheap as two cells.
        let aim = (self.wish.power, (self.method.trials / 4).max(200));
        let smallest_reduction =
            smallest_reduction(&wished, &self.ground, aim, (seed, cell + 1), beats)?;
        let optimum_cores = match (self.prices.plot, self.prices.core) {
            (Some(plot), Some(core)) if plot > 0.0 && core > 0.0 => {
                // More than 50 cores would leave a plot in holes.
                Some(whole_optimum(Components::of(&self.ground), plot, core, 50)?)
            }
            _ => None,
        };
        Ok(Suggestion {
            reached,
            plan,
            sentence,
            assurance: averaged.share(0),
            assurance_se: averaged.se(0),
            extra_block: self.cell(blocks + 1, cores, next + 2, None)?,
            smallest_reduction,
            optimum_cores,
            truths: truths(
                self.wish,
                (blocks, cores),
                &self.ground,
                self.method.trials,
                seed,
                &self.method.test,
            )?,
        })
    }
}

/// Cheapest first; unpriced plans by plots, then cores.
fn by_cost(table: &[Cell]) -> Vec<Cell> {
    let mut sorted = table.to_vec();
    sorted.sort_by(|a, b| {
        let price = |c: &Cell| c.cost.unwrap_or(0.0);
        price(a)
            .total_cmp(&price(b))
            .then(a.blocks.cmp(&b.blocks))
            .then(a.cores_per_plot.cmp(&b.cores_per_plot))
    });
    sorted
}

fn cautions(suggestion: &Suggestion, table: &[Cell]) -> Vec<Caution> {
    let mut out = Vec::new();
    if !suggestion.reached {
        out.push(Caution::new(
            "wish-not-reached",
            suggestion.sentence.clone(),
        ));
    }
    if suggestion.assurance < suggestion.plan.power - 0.05 {
        out.push(Caution::new(
            "ground-poorly-known",
            format!(
                "The power holds if k and the block spread are as estimated; averaged over what is not known of them \
                 it is {:.0} %. A block or two more is the usual remedy.",
                100.0 * suggestion.assurance
            ),
        ));
    }
    if table.iter().all(|cell| cell.cost.is_none()) {
        out.push(Caution::new(
            "cost-not-priced",
            "No prices were given, so costs are left out and plans are ranked by plots, then cores.",
        ));
    }
    out
}
