//! The cheapest plan that will do, with as few plans simulated as it takes; and the rest of the table.

use halfgreen_analysis::distributions::{normal_quantile, normal_sf};

use super::super::primary_test::TrialTest;
use super::super::sample_size_request::PlanSize;
use super::answer::Cell;
use super::plan_search::PlanSearch;
use crate::Error;
use crate::progress::{Progress, tell};

/// How far the power by formula may lie below that of the test, where nothing was simulated yet. Chosen with one seed and
/// confirmed with another: on 67 sites (k 0.1 to 5, means of 0.5 to 40, one and three methods, plots clumped or not) 193
/// plans reached 80 of 100 in
/// simulation, and none of them had less than 77 by formula. Measured, not proven: where it failed, too large a plan
/// would be suggested, never too small a one.
const FORMULA_SHORT: f64 = 0.03;
/// Fresh streams, numbered from here, so that a plan which passed by luck is found out.
pub(super) const FRESH: usize = 1 << 20;
/// Fresh stream of the plan that is named when none reaches the request: no plan was tried on it.
const FRESH_BEST: usize = 1 << 22;
/// Trials with which every plan of the table is shown.
const SHOWN: usize = 500;

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

impl<T: TrialTest> PlanSearch<'_, T> {
    /// Looks for the cheapest plan that reaches the wished power twice, the second time with fresh trials, of those for
    /// which there is room first.
    ///
    /// From the cheapest up. Passed over is a plan of which less is known already ([`known_most`]). What was simulated
    /// stands in the table, so that it never shows as good enough a plan that was passed over.
    pub(super) fn cheapest(
        &mut self,
        table: &mut [Cell],
        progress: Progress<'_>,
    ) -> Result<Found, Error> {
        let (mut short, mut passed, mut tried) = (Vec::new(), Vec::new(), 0);
        for at in by_cost(table) {
            let most = known_most(&table[at], &short);
            if most < self.request.power {
                let plan = table[at].size();
                passed.push(Passed { plan, most });
                continue;
            }
            self.look_at(&mut table[at])?;
            let looked_at = table.iter().filter(|c| c.trials > 0).count();
            tell(progress, looked_at, table.len())?;
            if table[at].power >= self.request.power {
                table[at] = self.in_full(&table[at], FRESH + tried)?;
                tried += 1;
            }
            if table[at].power >= self.request.power {
                return Ok(Found {
                    plan: table[at],
                    reached: true,
                    passed,
                });
            }
            short.push(table[at]);
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
            // It may be short by luck alone where half as many trials were simulated.
            reached: table[at].power >= self.request.power,
            passed,
        })
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

/// The most power that a plan can have, as far as that is known from plans found `short`: that of one with no fewer blocks and
/// cores; and that by formula, corrected by what it was wrong by.
fn known_most(plan: &Cell, short: &[Cell]) -> f64 {
    let more = |s: &&Cell| s.blocks >= plan.blocks && s.cores_per_plot >= plan.cores_per_plot;
    let alike = |s: &&Cell| s.cores_per_plot == plan.cores_per_plot;
    let nearest = short.iter().rev().find(alike).or(short.last());
    let by_formula = match nearest {
        Some(short) => corrected(plan.power_by_formula, short),
        None => plan.power_by_formula + FORMULA_SHORT,
    };
    let of_more = short.iter().filter(more).map(|s| s.power);
    of_more.fold(by_formula, f64::min)
}

/// Power by formula less what the formula was wrong by at a plan found short, on the scale of normal scores, on which the
/// error hardly changes from plan to plan. The power found there is taken a standard error higher, so that chance does not pass
/// over a plan that would do.
fn corrected(by_formula: f64, short: &Cell) -> f64 {
    let score = |share: f64| normal_quantile(share.clamp(0.001, 0.999));
    let wrong_by = score(short.power_by_formula) - score(short.power + short.power_se);
    normal_sf(wrong_by - score(by_formula))
}

/// The place of the plan with the highest power by formula; of equals, the first.
fn strongest_by_formula(table: &[Cell]) -> Option<usize> {
    let power = |i: usize| table[i].power_by_formula;
    (0..table.len()).reduce(|a, b| if power(b) > power(a) { b } else { a })
}
