//! Where plans are worked out: one cell of the table, then the suggestion in full.

use halfgreen_analysis::power::assurance::ParameterUncertainty;
use halfgreen_analysis::power::blocked;
use halfgreen_analysis::power::detectable::smallest_reduction;
use halfgreen_analysis::power::simulated::{
    OperatingCharacteristics, SimulatedTrial, SimulationBudget, SiteParameters,
    operating_characteristics,
};
use halfgreen_analysis::power::subsampling::{VarianceComponents, whole_optimum};
use halfgreen_analysis::random::Generator;

use super::super::effort::Effort;
use super::super::ground::Ground;
use super::super::looks::looks;
use super::super::prices::Prices;
use super::super::sample_size_request::{PlanSize, SampleSizeRequest};
use super::super::scenarios::scenarios;
use super::Simulation;
use super::answer::{Cell, Suggestion};
use crate::Error;

/// How many times the room of the past trial's ground plans are looked at: with a green or two more, or smaller plots,
/// a club may lay out so many (our judgement, no source).
const BEYOND_ROOM: usize = 3;
/// Blocks that a ground is taken to hold at least, so that plans are looked at where it holds next to none.
const LEAST_ROOM: usize = 4;

/// Everything that stays the same from cell to cell.
pub(super) struct PlanSearch<'a, V> {
    pub(super) request: &'a SampleSizeRequest,
    pub(super) ground: Option<&'a Ground<'a>>,
    pub(super) parameter_uncertainty: &'a ParameterUncertainty,
    pub(super) site: SiteParameters,
    pub(super) prices: &'a Prices,
    pub(super) simulation: &'a Simulation<V>,
    /// How many trials of each plan can be afforded.
    pub(super) effort: Effort,
}

/// Ten numbers of plots of each treatment, which blocks of the design can give: from 3 blocks up (from 1 where a
/// block holds several), or wider apart when the formula asks for many.
pub(super) fn usual_blocks(
    request: &SampleSizeRequest,
    site: &SiteParameters,
    ground: Option<&Ground<'_>>,
) -> Result<Vec<usize>, Error> {
    let cores = request.cores_per_plot.iter().copied().max().unwrap_or(1);
    let plan = request.plan(two_blocks(cores));
    // Beyond 100 blocks no green has room; the table then shows how far off that is.
    let needed = blocked::blocks_for(&plan, site, request.alpha, request.power, 100)?;
    let each = request.terms.plots_of_each;
    let most = ground.map_or(usize::MAX, |ground| {
        BEYOND_ROOM * ground.most_blocks().max(LEAST_ROOM)
    });
    let needed = needed.unwrap_or(100).div_ceil(each).min(most);
    let (first, step) = if needed <= 9 {
        (if each == 1 { 3 } else { 1 }, 1)
    } else {
        let step = (needed * 13).div_ceil(100);
        (step, step)
    };
    Ok((0..10).map(|i| (first + i * step) * each).collect())
}

impl<V: Fn(&SimulatedTrial) -> usize + Sync> PlanSearch<'_, V> {
    fn simulate(
        &self,
        size: PlanSize,
        cell: usize,
        (trials, until_clear_of): (usize, Option<f64>),
    ) -> Result<OperatingCharacteristics, Error> {
        let plan = self.request.plan(size);
        let effort = SimulationBudget {
            trials,
            until_clear_of,
        };
        let stream = (
            self.simulation.seed,
            u32::try_from(cell).unwrap_or(u32::MAX),
        );
        let fixed = |_: &mut Generator| self.site;
        Ok(operating_characteristics(
            &plan,
            fixed,
            (effort, 2),
            stream,
            &self.simulation.beats,
        )?)
    }

    fn plots(&self, blocks: usize) -> usize {
        blocks * (self.request.methods + 1)
    }

    /// A plan of the table, until it is clear on which side of the wished power it lies.
    pub(super) fn of_table(&mut self, size: PlanSize, column: usize) -> Result<Cell, Error> {
        let plots = self.plots(size.blocks);
        let trials = self.effort.of_next(plots);
        let cell = self.simulated(size, column, (trials, Some(self.request.power)))?;
        self.effort.spend(plots, cell.trials);
        Ok(cell)
    }

    /// A plan simulated in full.
    fn cell(&self, size: PlanSize, cell: usize) -> Result<Cell, Error> {
        let (trials, _) = self.effort.of_suggestion(self.plots(size.blocks));
        self.simulated(size, cell, (trials, None))
    }

    fn simulated(
        &self,
        size: PlanSize,
        cell: usize,
        effort: (usize, Option<f64>),
    ) -> Result<Cell, Error> {
        let PlanSize {
            blocks,
            cores_per_plot: cores,
        } = size;
        let plan = self.request.plan(size);
        let found = self.simulate(size, cell, effort)?;
        let treated = blocks * self.request.methods;
        Ok(Cell {
            blocks,
            cores_per_plot: cores,
            power: found.share(0),
            power_se: found.se(0),
            trials: found.trials,
            power_by_formula: blocked::power(&plan, &self.site, self.request.alpha)?,
            cost: self.prices.cost(plan.plots(), treated, cores),
            hours: self.prices.hours(plan.plots(), cores),
            fits: self.ground.map(|ground| ground.holds(size)),
        })
    }

    /// Fresh streams, numbered from here, so that a cell which passed by luck is found out.
    const FRESH: usize = 1 << 20;
    /// Fresh stream of the plan that is named when none reaches the request: no plan was tried on it.
    const FRESH_BEST: usize = 1 << 22;

    /// Trials with which every plan of the table is shown.
    const SHOWN: usize = 250;

    /// Works plans out further whose side was clear after few trials, so that the table shows their power well enough.
    /// None changes sides by that: the suggestion stands.
    pub(super) fn fill(&mut self, table: &mut [Cell]) -> Result<(), Error> {
        if self.simulation.brief {
            return Ok(());
        }
        let rows = table.len() / self.request.cores_per_plot.len().max(1);
        for (at, cell) in table.iter_mut().enumerate() {
            let plots = self.plots(cell.blocks);
            let trials = self.effort.of_again(plots).min(Self::SHOWN);
            if cell.trials >= trials {
                continue;
            }
            self.effort.spend(plots, trials);
            let shown = self.simulated(cell.size(), at / rows.max(1), (trials, None))?;
            if (shown.power >= self.request.power) == (cell.power >= self.request.power) {
                *cell = shown;
            }
        }
        Ok(())
    }

    /// Takes the cheapest plan that also reaches the wished power with fresh trials, of those for which there is room
    /// first. What those trials give stands in the table from then on, so that the table never shows as good enough a
    /// plan that was passed over.
    pub(super) fn suggest(&self, table: &mut [Cell]) -> Result<Suggestion, Error> {
        let (roomy, tight): (Vec<Cell>, Vec<Cell>) = by_cost(table)
            .into_iter()
            .partition(|c| c.fits != Some(false));
        let reaching = roomy
            .into_iter()
            .chain(tight)
            .filter(|c| c.power >= self.request.power);
        for (i, cell) in reaching.enumerate() {
            let again = self.cell(cell.size(), Self::FRESH + i)?;
            replace(table, again);
            if again.power >= self.request.power {
                return self.in_full(again, true, table);
            }
        }
        let strongest = table
            .iter()
            .copied()
            .reduce(|a, b| if b.power > a.power { b } else { a });
        let Some(best) = strongest else {
            return Err(Error::in_field(
                "blocks",
                "there is no plan in the table",
                "Give some.",
            ));
        };
        let best = self.cell(best.size(), Self::FRESH_BEST)?;
        replace(table, best);
        self.in_full(best, false, table)
    }

    fn in_full(&self, plan: Cell, reached: bool, table: &mut [Cell]) -> Result<Suggestion, Error> {
        let size = plan.size();
        let next = Self::FRESH << 1;
        let plots = self.plots(size.blocks);
        let (trials, step) = self.effort.of_suggestion(plots);
        let effort = SimulationBudget {
            trials,
            until_clear_of: None,
        };
        let wished = self.request.plan(size);
        let seed = self.simulation.seed;
        let draw = |g: &mut Generator| self.parameter_uncertainty.draw(g);
        let cell = u32::try_from(next).unwrap_or(u32::MAX);
        let averaged = operating_characteristics(
            &wished,
            draw,
            (effort, 2),
            (seed, cell),
            &self.simulation.beats,
        )?;
        let smallest_reduction = if self.simulation.brief {
            None
        } else {
            let beats = |trial: &SimulatedTrial| (self.simulation.beats)(trial) == 0;
            // Seven halvings: a quarter of the trials each keeps the search as cheap as two cells.
            let aim = (self.request.power, step);
            smallest_reduction(&wished, &self.site, aim, (seed, cell + 1), beats)?
        };
        let optimum_cores = match (self.prices.plot, self.prices.core) {
            (Some(plot), Some(core))
                if plot > 0.0 && core > 0.0 && self.site.k_plot.is_finite() =>
            {
                // More than 50 cores would leave a plot in holes.
                Some(whole_optimum(
                    VarianceComponents::of(&self.site),
                    plot,
                    core,
                    50,
                )?)
            }
            _ => None,
        };
        let (extra_block, scenarios) = if self.simulation.brief {
            (None, Vec::new())
        } else {
            let larger = PlanSize {
                blocks: size.blocks + self.request.terms.plots_of_each,
                ..size
            };
            let more = self.simulated(larger, next + 2, (trials, None))?;
            replace(table, more);
            let test = &self.simulation.test;
            let under = match self.effort.of_scenarios(plots) {
                Some(trials) => scenarios(self.request, size, &self.site, trials, seed, test)?,
                None => Vec::new(),
            };
            (Some(more), under)
        };
        let mut found = Suggestion {
            reached,
            plan,
            looks: looks(self.request, plan.power)?,
            sentence: String::new(),
            room: self.ground.map(|ground| ground.room(size)),
            assurance: averaged.share(0),
            assurance_se: averaged.se(0),
            extra_block,
            smallest_reduction,
            optimum_cores,
            scenarios,
        };
        found.sentence = self.sentence(&found)?;
        Ok(found)
    }
}

/// A plan of which only the cores matter: how many blocks it takes is asked of the formula.
pub(super) fn two_blocks(cores_per_plot: usize) -> PlanSize {
    PlanSize {
        blocks: 2,
        cores_per_plot,
    }
}

/// Puts a plan worked out anew in the place of the same plan in the table, where it is there.
fn replace(table: &mut [Cell], anew: Cell) {
    for old in table.iter_mut().filter(|c| c.size() == anew.size()) {
        *old = anew;
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
