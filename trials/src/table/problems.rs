//! What is wrong with a table, gathered: the first of each kind in full, of the rest how many.

use std::collections::BTreeMap;

use super::{Complaint, Problem, Rule};

/// Problems of one kind that are told one by one; the same slip on a thousand lines needs no thousand sentences.
const TOLD: usize = 20;

/// Gathers problems.
#[derive(Debug, Default)]
pub(crate) struct Problems {
    told: Vec<Problem>,
    /// For each kind how many there were, and the first that is not told.
    kinds: BTreeMap<Rule, (usize, Option<Problem>)>,
}

impl Problems {
    /// Takes one in.
    pub(crate) fn push(&mut self, problem: Problem) {
        let (number, first_untold) = self.kinds.entry(problem.rule).or_default();
        *number += 1;
        if *number <= TOLD {
            self.told.push(problem);
        } else if first_untold.is_none() {
            *first_untold = Some(problem);
        }
    }

    /// Whether one of them stops the analysis.
    pub(crate) fn any_error(&self) -> bool {
        self.told.iter().any(Problem::is_error)
    }

    /// All of them, with a line for those of a kind that are not told.
    pub(crate) fn into_list(self) -> Vec<Problem> {
        let mut list = self.told;
        for (number, first_untold) in self.kinds.into_values() {
            if let Some(first) = first_untold {
                let more = number - TOLD;
                let what = match more {
                    1 => "one more like these stands here".to_owned(),
                    more => format!("{more} more like these follow from here on"),
                };
                list.push(Problem {
                    complaint: Complaint::new(
                        what,
                        "Mend the first ones: the same may cure them all.",
                    ),
                    plot: None,
                    ..first
                });
            }
        }
        list
    }
}

impl Extend<Problem> for Problems {
    fn extend<I: IntoIterator<Item = Problem>>(&mut self, problems: I) {
        problems.into_iter().for_each(|problem| self.push(problem));
    }
}
