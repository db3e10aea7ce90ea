//! A suggestion in words: why this plan, whether there is room for it, how sure its power is.

use halfgreen_analysis::power::blocked;

use super::super::primary_test::TrialTest;
use super::answer::{Cell, Suggestion};
use super::plan_search::{PlanSearch, two_blocks};
use crate::Error;

impl<T: TrialTest> PlanSearch<'_, T> {
    /// All that is to be said of a suggestion, in one to three sentences.
    pub(super) fn sentence(&self, found: &Suggestion) -> Result<String, Error> {
        let why = if found.reached {
            self.reached(&found.plan)
        } else {
            self.not_reached(&found.plan)?
        };
        // Where there is room for a plan that will do, that was said with it.
        let unsaid = found
            .room
            .as_ref()
            .filter(|room| !(room.fits && found.reached));
        let room = unsaid.map_or(String::new(), |room| format!("; {}", room.sentence));
        let doubt = if found.holds_only_as_estimated() {
            format!(
                " That is if the ground is as estimated; averaged over what is not known of it, it is {:.0} of 100.",
                100.0 * found.assurance
            )
        } else {
            String::new()
        };
        Ok(format!("{why}{room}.{doubt}"))
    }

    /// Why this plan, where it reaches the wished power.
    fn reached(&self, plan: &Cell) -> String {
        let order = if plan.cost.is_some() {
            "cheapest"
        } else {
            "smallest"
        };
        let with_room = if plan.fits == Some(true) {
            " with room on the ground"
        } else {
            ""
        };
        format!(
            "{}: the {order} plan in the table{with_room} that finds a reduction of {:.0} % in at least {} of 100 trials",
            self.request.terms.plan(plan.size()),
            100.0 * self.request.reduction,
            of_100(self.request.power)
        )
    }

    /// The nearest plan, where none reaches the wished power.
    fn not_reached(&self, best: &Cell) -> Result<String, Error> {
        let plan = self.request.plan(two_blocks(best.cores_per_plot));
        let (site, alpha, power) = (&self.site, self.request.alpha, self.request.power);
        let terms = self.request.terms;
        let beyond = match blocked::blocks_for(&plan, site, alpha, power, 1000)? {
            Some(blocks) if blocks > best.blocks => {
                let blocks = terms.counted(terms.design_blocks(blocks));
                format!(
                    "by formula it would take about {blocks} with as many {}",
                    terms.sample.words()[1]
                )
            }
            Some(_) => "the formula hopes for more than the test itself gives".to_owned(),
            None => format!("by formula not even {} would do", terms.counted(1000)),
        };
        Ok(format!(
            "No plan in the table finds a reduction of {:.0} % in {} of 100 trials; the nearest, {}, finds it in \
             about {:.0}; {beyond}",
            100.0 * self.request.reduction,
            of_100(self.request.power),
            terms.plan(best.size()),
            // Down, as the table has it: simulated powers have no decimals to tell, and this one is short.
            (100.0 * best.power).floor()
        ))
    }
}

/// A share as trials out of 100, with a decimal only where it says something.
fn of_100(share: f64) -> String {
    let text = format!("{:.1}", 100.0 * share);
    text.trim_end_matches(".0").to_owned()
}
