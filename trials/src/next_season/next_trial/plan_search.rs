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

use super::super::looks::looks;
use super::super::prices::Prices;
use super::super::sample_size_request::{PlanSize, SampleSizeRequest};
use super::super::scenarios::scenarios;
use super::Simulation;
use super::answer::{Cell, Suggestion};
use crate::Error;
use crate::text::spelling::number;

/// Everything that stays the same from cell to cell.
pub(super) struct PlanSearch<'a, V> {
    pub(super) request: &'a SampleSizeRequest,
    pub(super) parameter_uncertainty: &'a ParameterUncertainty,
    pub(super) site: SiteParameters,
    pub(super) prices: &'a Prices,
    pub(super) simulation: &'a Simulation<V>,
    /// Trials of each plan at most: those asked for, or as many as can be afforded.
    pub(super) trials: usize,
}

impl<V: Fn(&SimulatedTrial) -> usize + Sync> PlanSearch<'_, V> {
    /// Ten numbers of blocks: from 3 up, or wider apart when the formula asks for many.
    pub(super) fn blocks(&self) -> Result<Vec<usize>, Error> {
        if !self.request.blocks.is_empty() {
            return Ok(self.request.blocks.clone());
        }
        let cores = self
            .request
            .cores_per_plot
            .iter()
            .copied()
            .max()
            .unwrap_or(1);
        let plan = self.request.plan(two_blocks(cores));
        // Beyond 100 blocks no green has room; the table then shows how far off that is.
        let needed = blocked::blocks_for(
            &plan,
            &self.site,
            self.request.alpha,
            self.request.power,
            100,
        )?;
        let needed = needed.unwrap_or(100);
        if needed <= 9 {
            return Ok((3..=12).collect());
        }
        let step = (needed * 13).div_ceil(100);
        Ok((1..=10).map(|i| i * step).collect())
    }

    fn simulate(
        &self,
        size: PlanSize,
        cell: usize,
        clear: Option<f64>,
    ) -> Result<OperatingCharacteristics, Error> {
        let plan = self.request.plan(size);
        let effort = SimulationBudget {
            trials: self.trials,
            until_clear_of: clear,
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

    pub(super) fn cell(
        &self,
        size: PlanSize,
        cell: usize,
        clear: Option<f64>,
    ) -> Result<Cell, Error> {
        let PlanSize {
            blocks,
            cores_per_plot: cores,
        } = size;
        let plan = self.request.plan(size);
        let found = self.simulate(size, cell, clear)?;
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
        })
    }

    /// Fresh streams, numbered from here, so that a cell which passed by luck is found out.
    const FRESH: usize = 1 << 20;
    /// Fresh stream of the plan that is named when none reaches the request: no plan was tried on it.
    const FRESH_BEST: usize = 1 << 22;

    /// Takes the cheapest plan that also reaches the wished power with fresh trials. What those trials give stands in
    /// the table from then on, so that the table never shows as good enough a plan that was passed over.
    pub(super) fn suggest(&self, table: &mut [Cell]) -> Result<Suggestion, Error> {
        for (i, cell) in by_cost(table)
            .iter()
            .filter(|c| c.power >= self.request.power)
            .enumerate()
        {
            let again = self.cell(cell.size(), Self::FRESH + i, None)?;
            replace(table, again);
            if again.power >= self.request.power {
                let order = if again.cost.is_some() {
                    "cheapest"
                } else {
                    "smallest"
                };
                let sentence = format!(
                    "{}: the {order} plan in the table that finds a reduction of {:.0} % in at least {} of 100 trials.",
                    again.words(),
                    100.0 * self.request.reduction,
                    of_100(self.request.power)
                );
                return self.in_full(again, true, sentence, table);
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
        let best = self.cell(best.size(), Self::FRESH_BEST, None)?;
        replace(table, best);
        let plan = self.request.plan(two_blocks(best.cores_per_plot));
        let needed = blocked::blocks_for(
            &plan,
            &self.site,
            self.request.alpha,
            self.request.power,
            1000,
        )?;
        let beyond = match needed {
            Some(blocks) if blocks > best.blocks => {
                let blocks = number(blocks, "block");
                format!("by formula it would take about {blocks} with as many cores")
            }
            Some(_) => "the formula hopes for more than the test itself gives".to_owned(),
            None => "by formula not even 1 000 blocks would do".to_owned(),
        };
        let sentence = format!(
            "No plan in the table finds a reduction of {:.0} % in {} of 100 trials; the nearest, {}, finds it in \
             about {}; {beyond}.",
            100.0 * self.request.reduction,
            of_100(self.request.power),
            best.words(),
            of_100(best.power)
        );
        self.in_full(best, false, sentence, table)
    }

    fn in_full(
        &self,
        plan: Cell,
        reached: bool,
        sentence: String,
        table: &mut [Cell],
    ) -> Result<Suggestion, Error> {
        let size = plan.size();
        let next = Self::FRESH << 1;
        let effort = SimulationBudget {
            trials: self.trials,
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
        let beats = |trial: &SimulatedTrial| (self.simulation.beats)(trial) == 0;
        // Seven halvings: a quarter of the trials each keeps the search as cheap as two cells.
        let aim = (self.request.power, (self.trials / 4).max(200));
        let smallest_reduction =
            smallest_reduction(&wished, &self.site, aim, (seed, cell + 1), beats)?;
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
                blocks: size.blocks + 1,
                ..size
            };
            let more = self.cell(larger, next + 2, None)?;
            replace(table, more);
            let trials = self.trials;
            let test = &self.simulation.test;
            let under = scenarios(self.request, size, &self.site, trials, seed, test)?;
            (Some(more), under)
        };
        Ok(Suggestion {
            reached,
            plan,
            looks: looks(self.request, plan.power)?,
            sentence,
            assurance: averaged.share(0),
            assurance_se: averaged.se(0),
            extra_block,
            smallest_reduction,
            optimum_cores,
            scenarios,
        })
    }
}

/// A plan of which only the cores matter: how many blocks it takes is asked of the formula.
fn two_blocks(cores_per_plot: usize) -> PlanSize {
    PlanSize {
        blocks: 2,
        cores_per_plot,
    }
}

/// A share as trials out of 100, with a decimal only where it says something.
fn of_100(share: f64) -> String {
    let text = format!("{:.1}", 100.0 * share);
    text.trim_end_matches(".0").to_owned()
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
