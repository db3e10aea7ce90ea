//! Where plans are worked out: one cell of the table, then the suggestion in full.

use halfgreen_analysis::power::assurance::ParameterUncertainty;
use halfgreen_analysis::power::blocked;
use halfgreen_analysis::power::detectable::smallest_reduction;
use halfgreen_analysis::power::simulated::{Plan, SimulationBudget, SiteParameters};
use halfgreen_analysis::power::subsampling::{VarianceComponents, whole_optimum};
use halfgreen_analysis::power::two_phase::{self, TwoPhasePower};
use halfgreen_analysis::random::Generator;
use halfgreen_analysis::results::Estimate;

use super::super::effort::Effort;
use super::super::ground::Ground;
use super::super::looks::looks;
use super::super::prices::Prices;
use super::super::primary_test::TrialTest;
use super::super::sample_size_request::{PlanSize, SampleSizeRequest};
use super::super::scenarios::scenarios;
use super::Simulation;
use super::answer::{Cell, Suggestion};
use super::cheapest::FRESH;
use crate::Error;

/// How many times the room of the past trial's ground plans are looked at: with a green or two more, or smaller plots,
/// a club may lay out so many (our judgement, no source).
const BEYOND_ROOM: usize = 3;
/// Blocks that a ground is taken to hold at least, so that plans are looked at where it holds next to none.
const LEAST_ROOM: usize = 4;

/// Everything that stays the same from cell to cell.
pub(super) struct PlanSearch<'a, T> {
    pub(super) request: &'a SampleSizeRequest,
    pub(super) ground: Option<&'a Ground<'a>>,
    pub(super) parameter_uncertainty: &'a ParameterUncertainty,
    pub(super) site: SiteParameters,
    pub(super) prices: &'a Prices,
    pub(super) simulation: &'a Simulation<T>,
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

impl<T: TrialTest> PlanSearch<'_, T> {
    /// The power of a plan on a site that `site` draws for each trial.
    fn power(
        &self,
        plan: &Plan,
        site: impl Fn(&mut Generator) -> SiteParameters + Sync,
        cell: usize,
        (trials, until_clear_of): (usize, Option<f64>),
    ) -> Result<TwoPhasePower, halfgreen_analysis::Error> {
        let budget = SimulationBudget {
            trials,
            until_clear_of,
        };
        let stream = (
            self.simulation.seed,
            u32::try_from(cell).unwrap_or(u32::MAX),
        );
        let test = &self.simulation.test;
        two_phase::power(
            plan,
            site,
            budget,
            stream,
            |trial| test.predicted(trial),
            |trial| test.finds(trial),
        )
    }

    pub(super) fn plots(&self, blocks: usize) -> usize {
        blocks * (self.request.methods + 1)
    }

    /// A plan before anything is simulated of it.
    pub(super) fn unseen(&self, size: PlanSize) -> Result<Cell, Error> {
        let PlanSize {
            blocks,
            cores_per_plot: cores,
        } = size;
        let plan = self.request.plan(size);
        let treated = blocks * self.request.methods;
        Ok(Cell {
            blocks,
            cores_per_plot: cores,
            power: f64::NAN,
            power_se: f64::NAN,
            trials: 0,
            judged: 0,
            power_by_formula: blocked::power(&plan, &self.site, self.request.alpha)?,
            cost: self.prices.cost(plan.plots(), treated, cores),
            hours: self.prices.hours(plan.plots(), cores),
            fits: self.ground.map(|ground| ground.holds(size)),
        })
    }

    /// Simulates a plan of the table of which nothing is known, until it is clear on which side of the wished power it lies.
    pub(super) fn look_at(&mut self, cell: &mut Cell) -> Result<(), Error> {
        if cell.trials > 0 {
            return Ok(());
        }
        let plots = self.plots(cell.blocks);
        let trials = self.effort.of_next(plots);
        let column = self.column(cell.cores_per_plot);
        *cell = self.simulated(cell, column, (trials, Some(self.request.power)))?;
        self.effort.spend(plots, cell.trials);
        Ok(())
    }

    /// One stream a column: more blocks extend the same trials, so that the curve is smooth.
    pub(super) fn column(&self, cores: usize) -> usize {
        let columns = &self.request.cores_per_plot;
        columns.iter().position(|&c| c == cores).unwrap_or(0)
    }

    /// A plan simulated in full.
    pub(super) fn in_full(&self, plan: &Cell, stream: usize) -> Result<Cell, Error> {
        let (trials, _) = self.effort.of_suggestion(self.plots(plan.blocks));
        self.simulated(plan, stream, (trials, None))
    }

    pub(super) fn simulated(
        &self,
        plan: &Cell,
        stream: usize,
        effort: (usize, Option<f64>),
    ) -> Result<Cell, Error> {
        let wished = self.request.plan(plan.size());
        let found = self.power(&wished, |_| self.site, stream, effort)?;
        Ok(Cell {
            power: found.power,
            power_se: found.se,
            trials: found.trials,
            judged: found.judged,
            ..*plan
        })
    }

    /// All that is worked out of the plan that is suggested.
    pub(super) fn suggest(
        &self,
        (plan, reached): (Cell, bool),
        table: &mut [Cell],
    ) -> Result<Suggestion, Error> {
        let size = plan.size();
        let next = FRESH << 1;
        let plots = self.plots(size.blocks);
        let (trials, step) = self.effort.of_suggestion(plots);
        let wished = self.request.plan(size);
        let draw = |g: &mut Generator| self.parameter_uncertainty.draw(g);
        let averaged = self.power(&wished, draw, next, (trials, None))?;
        let smallest_reduction = if self.simulation.brief {
            None
        } else {
            // About seven steps: a quarter of the trials each keeps the search as cheap as two cells.
            smallest_reduction(&wished, &self.site, self.request.power, |plan| {
                let found = self.power(plan, |_| self.site, next + 1, (step, None))?;
                Ok(Estimate {
                    value: found.power,
                    se: found.se,
                })
            })?
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
            let more = self.simulated(&self.unseen(larger)?, next + 2, (trials, None))?;
            replace(table, more);
            let (seed, test) = (self.simulation.seed, &self.simulation.test);
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
            assurance: averaged.power,
            assurance_se: averaged.se,
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
