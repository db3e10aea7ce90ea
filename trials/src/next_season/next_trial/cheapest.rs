//! The cheapest plan that will do, with as few plans simulated as it takes; and the rest of the table.

use halfgreen_analysis::power::simulated::SimulatedTrial;

use super::super::sample_size_request::PlanSize;
use super::answer::Cell;
use super::plan_search::PlanSearch;
use crate::Error;
use crate::progress::{Progress, tell};

/// How far the power by formula may lie below that of the test by chance. Chosen with one seed and confirmed with another: on
/// 67 sites (k 0.1 to 5, means of 0.5 to 40, one and three methods, plots clumped or not) 193 plans reached 80 of 100 in
/// simulation, and none of them had less than 77 by formula. Measured, not proven: where it failed, too large a plan
/// would be suggested, never too small a one.
const FORMULA_SHORT: f64 = 0.03;
/// Fresh streams, numbered from here, so that a plan which passed by luck is found out.
pub(super) const FRESH: usize = 1 << 20;
/// Fresh stream of the plan that is named when none reaches the request: no plan was tried on it.
const FRESH_BEST: usize = 1 << 22;
/// Trials with which every plan of the table is shown.
const SHOWN: usize = 250;

/// What the search ends in.
pub(super) struct Found {
    /// The cheapest plan that will do, or the strongest by formula where none does.
    pub(super) plan: Cell,
    /// Whether it reaches the wished power.
    pub(super) reached: bool,
    /// Plans passed over on the way.
    pub(super) passed: Vec<Passed>,
}

/// A plan passed over, with nothing simulated.
pub(super) struct Passed {
    plan: PlanSize,
    /// The power that it was passed over for: that of a plan with more of everything, or the formula's. It has no more.
    most: f64,
}

impl<V: Fn(&SimulatedTrial) -> usize + Sync> PlanSearch<'_, V> {
    /// Looks for the cheapest plan that reaches the wished power twice, the second time with fresh trials, of those for
    /// which there is room first.
    ///
    /// From the cheapest up. Passed over is a plan of which the formula already gives less, and one that has no more
    /// blocks and no more cores than a plan found short: of those with as many blocks the one with the most cores is
    /// therefore looked at first. What was simulated stands in the table, so that it never shows as good enough a
    /// plan that was passed over.
    pub(super) fn cheapest(
        &mut self,
        table: &mut [Cell],
        progress: Progress<'_>,
    ) -> Result<Found, Error> {
        let (mut short, mut passed, mut tried) = (Vec::new(), Vec::new(), 0);
        for at in by_cost(table) {
            let size = table[at].size();
            if let Some(most) = self.cannot_exceed(&table[at], &short) {
                passed.push(Passed { plan: size, most });
                continue;
            }
            let strongest = strongest_of(table, size.blocks).unwrap_or(at);
            let found_short = self.first_short(table, [strongest, at])?;
            let looked_at = table.iter().filter(|c| c.trials > 0).count();
            tell(progress, looked_at, table.len())?;
            if let Some(place) = found_short {
                short.push(table[place]);
                if place != at {
                    let most = table[place].power;
                    passed.push(Passed { plan: size, most });
                }
                continue;
            }
            let again = self.in_full(&table[at], FRESH + tried)?;
            tried += 1;
            table[at] = again;
            if again.power >= self.request.power {
                return Ok(Found {
                    plan: again,
                    reached: true,
                    passed,
                });
            }
            short.push(again);
        }
        let Some(at) = strongest_by_formula(table) else {
            return Err(Error::in_field(
                "blocks",
                "there is no plan in the table",
                "Give some.",
            ));
        };
        table[at] = self.in_full(&table[at], FRESH_BEST)?;
        Ok(Found {
            plan: table[at],
            reached: false,
            passed,
        })
    }

    /// A power below the wished one that a plan cannot exceed, where one is known.
    fn cannot_exceed(&self, plan: &Cell, short: &[Cell]) -> Option<f64> {
        let more = |s: &&Cell| s.blocks >= plan.blocks && s.cores_per_plot >= plan.cores_per_plot;
        let short_by_formula = plan.power_by_formula < self.request.power - FORMULA_SHORT;
        let formula = short_by_formula.then_some(plan.power_by_formula);
        short.iter().find(more).map(|s| s.power).or(formula)
    }

    /// Simulates plans until one is found short of the wished power.
    fn first_short(
        &mut self,
        table: &mut [Cell],
        places: [usize; 2],
    ) -> Result<Option<usize>, Error> {
        for place in places {
            self.look_at(&mut table[place])?;
            if table[place].power < self.request.power {
                return Ok(Some(place));
            }
        }
        Ok(None)
    }

    /// Works out the rest of the table: plans not looked at, and those whose side was clear after few trials, so that
    /// the table shows their power well enough. None changes sides by that: the suggestion stands.
    pub(super) fn fill(
        &mut self,
        table: &mut [Cell],
        passed: &[Passed],
        progress: Progress<'_>,
    ) -> Result<(), Error> {
        let looked_at = |table: &[Cell]| table.iter().filter(|c| c.trials > 0).count();
        for at in 0..table.len() {
            let unseen = table[at].trials == 0;
            self.look_at(&mut table[at])?;
            self.show(&mut table[at], unseen)?;
            if let (true, Some(over)) = (unseen, of(passed, table[at].size())) {
                table[at].power = table[at].power.min(over.most);
            }
            tell(progress, looked_at(table), table.len())?;
        }
        Ok(())
    }

    /// Simulates a plan in as many trials as the table shows it with, where they can be afforded. It may change sides of
    /// the wished power only where it was `unseen` by the search.
    fn show(&mut self, cell: &mut Cell, unseen: bool) -> Result<(), Error> {
        let plots = self.plots(cell.blocks);
        let trials = self.effort.of_again(plots).min(SHOWN);
        if cell.trials >= trials {
            return Ok(());
        }
        self.effort.spend(plots, trials);
        let column = self.column(cell.cores_per_plot);
        let shown = self.simulated(cell, column, (trials, None))?;
        let side = |c: &Cell| c.power >= self.request.power;
        if unseen || side(&shown) == side(cell) {
            *cell = shown;
        }
        Ok(())
    }
}

/// What a plan was passed over for.
fn of(passed: &[Passed], plan: PlanSize) -> Option<&Passed> {
    passed.iter().find(|p| p.plan == plan)
}

/// Places of the plans from the cheapest up, unpriced ones by blocks, then cores; those without room last.
fn by_cost(table: &[Cell]) -> Vec<usize> {
    let mut places: Vec<usize> = (0..table.len()).collect();
    let tight = |c: &Cell| c.fits == Some(false);
    let price = |c: &Cell| c.cost.unwrap_or(0.0);
    places.sort_by(|&a, &b| {
        let (a, b) = (&table[a], &table[b]);
        (tight(a).cmp(&tight(b)))
            .then(price(a).total_cmp(&price(b)))
            .then(a.blocks.cmp(&b.blocks))
            .then(a.cores_per_plot.cmp(&b.cores_per_plot))
    });
    places
}

/// Of the plans with so many blocks, the place of the one with the most cores.
fn strongest_of(table: &[Cell], blocks: usize) -> Option<usize> {
    let same = (0..table.len()).filter(|&i| table[i].blocks == blocks);
    same.max_by_key(|&i| table[i].cores_per_plot)
}

/// The place of the plan with the highest power by formula; of equals, the first.
fn strongest_by_formula(table: &[Cell]) -> Option<usize> {
    let power = |i: usize| table[i].power_by_formula;
    (0..table.len()).reduce(|a, b| if power(b) > power(a) { b } else { a })
}
