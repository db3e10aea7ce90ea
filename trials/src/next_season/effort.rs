//! How many trials are simulated of each plan, so that an answer takes seconds and says how sure it is.
//!
//! Work is reckoned before it is done, in plots judged once: a judged trial costs as many as it has plots and [`BESIDE`] more, and
//! [`SEVERAL`] times that or a little more where more than one method is compared: one of them is judged. Of the trials from which a
//! power is told one in [`ONE_IN`] is judged, and the others cost little beside it. The table has so much to spend, and cells whose side is clear early leave theirs to the others; the suggestion and its scenarios have
//! their own. The numbers depend on nothing but the
//! request, so that the answer is the same on any machine.

use halfgreen_analysis::power::two_phase;

use crate::Error;
use crate::ranges::request::{NEXT_PLANS, NEXT_WORK};

/// Simulated trials below which a power says next to nothing: its standard error may be 4 per cent.
const FEWEST: usize = two_phase::FEWEST;
/// Of the trials from which a power is told one in so many is judged, by two-phase sampling, with what it takes to draw the others. Measured.
const ONE_IN: usize = 8;
/// How many times the work trials of several methods take, and for how many methods more it is once more that much.
/// Measured: one and a half to twice for five or eleven methods, seven times for forty.
const SEVERAL: usize = 2;
const MORE: usize = 7;
/// What a trial costs beside its plots, in plots.
const BESIDE: usize = 20;
/// Plots from which on a plot costs twice as much, as they no longer fit where the processor has them at hand; below it
/// in proportion. Measured: of 500 pairs a plot costs some three times what it does of twenty.
const TWICE: usize = 700;
/// What may be spent in all: some twenty seconds of a processor, shared by two.
const ALL: usize = 6_500_000;
/// What may be spent on the table beyond the fewest trials of each plan.
const TABLE: usize = 1_000_000;
/// What may be spent on the suggestion beyond the fewest trials.
const SUGGESTION: usize = 800_000;
/// What may be spent on its verdicts under several scenarios.
const SCENARIOS: usize = 3_000_000;
/// Times that the suggestion is simulated, apart from the search for the smallest reduction: anew, over what is not
/// known, and with a block more.
const ANEW: usize = 3;
/// Steps of the search for the smallest reduction.
const STEPS: usize = 7;
/// Trials of a step of that search at least, where as many can be afforded.
const STEP: usize = 500;
/// Four scenarios, of which each trial is asked for all four verdicts: about six times the work of asking for one.
const ALL_VERDICTS: usize = 4 * 6;

/// What is left to spend.
#[derive(Debug, Clone, Copy)]
pub(super) struct Effort {
    /// Trials asked for.
    pub(super) asked: usize,
    methods: usize,
    /// Fewest trials that a power is told from.
    fewest: usize,
    /// How many times the usual work a plot takes.
    dear: usize,
    /// Of the trials from which a power is told, one in so many is judged.
    one_in: usize,
    /// For the table.
    left: usize,
    /// Of that, what the fewest trials of the plans not yet simulated will take.
    reserved: usize,
    /// For the scenarios of the suggestion.
    scenarios: usize,
}

impl Effort {
    /// What may be spent on a table of so many columns, each with plans of so many blocks, of plots with a clumping of `k`.
    ///
    /// # Errors
    /// More plans than a table has, or so large ones that not even the fewest trials could be simulated.
    pub(super) fn new(
        methods: usize,
        (blocks, columns): (&[usize], usize),
        asked: usize,
        k: f64,
    ) -> Result<Self, Error> {
        let fewest = FEWEST.min(asked);
        let dear = dear(k);
        let one_in = if asked < FEWEST { 1 } else { ONE_IN };
        let of = |plots: usize| dear * weight(plots, methods);
        let all: usize = blocks.iter().map(|b| of(b * (methods + 1))).sum();
        let largest = blocks.iter().copied().max().unwrap_or(0) * (methods + 1);
        let reserved = columns * all * fewest / one_in;
        let suggested = dear * suggestion(largest, methods, fewest) / one_in;
        let work = reserved + suggested;
        let cure = "Try fewer blocks or cores at once, or fewer methods.";
        for (range, found) in [(NEXT_PLANS, columns * blocks.len()), (NEXT_WORK, work)] {
            if !range.holds_whole(found.max(1) as u64) {
                let what = range.fault(&format!("{found} {}", range.name));
                return Err(Error::in_field("blocks", what, cure));
            }
        }
        let left = TABLE.max(reserved);
        let scenarios = SCENARIOS.min(ALL.saturating_sub(left + suggested));
        Ok(Self {
            asked,
            methods,
            fewest,
            dear,
            one_in,
            left,
            reserved,
            scenarios,
        })
    }

    /// Trials of the next plan of the table, which has so many plots.
    pub(super) fn of_next(&mut self, plots: usize) -> usize {
        let each = self.weight(plots);
        let fewest = self.fewest;
        self.reserved = self.reserved.saturating_sub(each * fewest / self.one_in);
        let free = self.left.saturating_sub(self.reserved);
        (free * self.one_in / each).clamp(fewest, self.look())
    }

    /// Trials of a plan of the table at most: half of those of a plan that may be suggested, for that is simulated anew.
    pub(super) fn look(&self) -> usize {
        self.asked.div_ceil(2).max(self.fewest)
    }

    /// Trials of a plan of the table that is simulated again: none where nothing is left.
    pub(super) fn of_again(&self, plots: usize) -> usize {
        (self.left * self.one_in / self.weight(plots)).min(self.asked)
    }

    /// Tells that a plan of the table was simulated.
    pub(super) fn spend(&mut self, plots: usize, trials: usize) {
        let spent = self.weight(plots) * trials / self.one_in;
        self.left = self.left.saturating_sub(spent);
    }

    /// Trials of a plan that may be suggested, and of each step of the search for its smallest reduction.
    pub(super) fn of_suggestion(&self, plots: usize) -> (usize, usize) {
        let fewest = self.fewest;
        let (mut low, mut high) = (fewest, self.asked);
        while low < high {
            let middle = (low + high).div_ceil(2);
            let work = self.dear * suggestion(plots, self.methods, middle) / self.one_in;
            if work <= SUGGESTION {
                low = middle;
            } else {
                high = middle - 1;
            }
        }
        (low, step(low))
    }

    /// What a judged trial of so many plots costs of these counts.
    fn weight(&self, plots: usize) -> usize {
        self.dear * weight(plots, self.methods)
    }

    /// Trials of each scenario, all of them judged; none where they would say too little.
    pub(super) fn of_scenarios(&self, plots: usize) -> Option<usize> {
        let most = self.scenarios / (ALL_VERDICTS * self.weight(plots));
        let half = self.asked.div_ceil(2);
        let trials = most.min(half);
        (trials >= half.min(FEWEST / ONE_IN)).then_some(trials)
    }
}

/// The usual numbers of blocks, with fewer of them where nobody would wait for all: every second, then without the largest.
///
/// # Errors
/// What even the two smallest would take is too much.
pub(super) fn affordable(
    mut blocks: Vec<usize>,
    effort: impl Fn(&[usize]) -> Result<Effort, Error>,
) -> Result<(Vec<usize>, Effort), Error> {
    loop {
        match effort(&blocks) {
            Ok(effort) => return Ok((blocks, effort)),
            Err(fault) if blocks.len() <= 2 => return Err(fault),
            Err(_) if blocks.len() > 5 => {
                // The largest stays: it is there to reach the power.
                let mut every_second = blocks.into_iter().rev().step_by(2).collect::<Vec<_>>();
                every_second.reverse();
                blocks = every_second;
            }
            Err(_) => {
                blocks.pop();
            }
        }
    }
}

/// Clumping of plots below which their fits take longer, in proportion, and how many times as long at most. Measured: five
/// times for a k of a thousandth.
const CLUMPED: f64 = 0.5;
const DEAREST: f64 = 5.0;

/// How many times the usual work a plot takes whose counts have such a k.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "between one and the most"
)]
fn dear(k: f64) -> usize {
    (CLUMPED / k).clamp(1.0, DEAREST) as usize
}

/// What a judged trial of so many plots costs.
fn weight(plots: usize, methods: usize) -> usize {
    let times = if methods > 1 {
        SEVERAL + methods / MORE
    } else {
        1
    };
    (plots + BESIDE + plots * plots / TWICE) * times
}

/// Trials of each step of the search for the smallest reduction, beside so many of the plan.
fn step(trials: usize) -> usize {
    (trials / 4).max(STEP.min(trials))
}

/// What a plan of so many plots costs that is suggested, were all trials judged.
fn suggestion(plots: usize, methods: usize, trials: usize) -> usize {
    weight(plots, methods) * (ANEW * trials + STEPS * step(trials))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_left_by_clear_plans_goes_to_the_others_and_no_more_is_spent() {
        let blocks = [20, 40, 60, 80];
        let mut effort = Effort::new(1, (&blocks, 4), 40_000, 1.0).unwrap();
        let (mut spent, mut reduced) = (0, 0);
        for plots in (0..4).flat_map(|_| blocks.map(|b| 2 * b)) {
            let trials = effort.of_next(plots);
            assert!((FEWEST..=20_000).contains(&trials));
            reduced += usize::from(trials < 20_000);
            // Every other plan is clear at once.
            let taken = if plots % 80 == 0 { FEWEST } else { trials };
            effort.spend(plots, taken);
            spent += weight(plots, 1) * taken / ONE_IN;
        }
        assert!(spent <= TABLE && reduced > 0, "{spent} {reduced}");
        let (few, fewer) = (effort.of_suggestion(40), effort.of_suggestion(1000));
        assert!(few.0 > 10_000 && few.1 == few.0 / 4, "{few:?}");
        assert!(fewer.0 < 1600 && fewer.1 <= fewer.0, "{fewer:?}");
        assert!(effort.of_scenarios(40).unwrap() > 1000);
        assert!(effort.of_scenarios(1000).unwrap() < 200);
    }

    #[test]
    fn a_usual_table_of_many_methods_is_thinned_and_not_refused() {
        let usual: Vec<usize> = (1..11).map(|b| 4 * b).collect();
        let effort =
            |methods: usize| move |blocks: &[usize]| Effort::new(methods, (blocks, 4), 2000, 1.0);
        assert_eq!(affordable(usual.clone(), effort(1)).unwrap().0, usual);
        assert!(effort(20)(&usual).is_err());
        let (thinned, _) = affordable(usual.clone(), effort(20)).unwrap();
        assert!(
            thinned.len() >= 3 && thinned.iter().all(|b| usual.contains(b)),
            "{thinned:?}"
        );
        assert!(affordable(vec![400, 500], effort(20)).is_err());
    }

    #[test]
    fn what_nobody_waits_for_is_refused_and_what_few_trials_can_tell_is_not() {
        assert!(Effort::new(1, (&[500], 1), 2000, 1.0).is_ok());
        let usual: Vec<usize> = (3..13).collect();
        assert!(Effort::new(20, (&usual, 4), 2000, 1.0).is_ok());
        let refused = Effort::new(20, (&[500], 1), 2000, 1.0).unwrap_err();
        assert_eq!(refused.field.as_deref(), Some("blocks"));
        assert!(Effort::new(1, (&usual, 21), 2000, 1.0).is_err());
    }
}
