//! What is wrong with a table, gathered: the same cause once, with how often it acts; of each kind the first ones.

use std::collections::BTreeMap;
use std::fmt::Write;

use super::problem::Cause;
use super::{Complaint, Problem, Rule, Severity};

/// Causes of one kind that are told one by one.
const TOLD: usize = 20;
/// Lines, or plots, that are named where one cause acts on many.
const NAMED: usize = 8;

/// Plots that are kept apart for one cause; no trial has more.
const MOST_PLOTS: usize = 1000;

/// What makes two problems one: file, rule, severity, and the cause or else every word.
type Same = (String, Rule, bool, Option<Cause>, String);

/// One cause, as it was first met, and where else it acts.
#[derive(Debug)]
struct Told {
    first: Problem,
    lines: Vec<u64>,
    plots: Vec<String>,
    last: u64,
}

/// Gathers problems.
#[derive(Debug, Default)]
pub(crate) struct Problems {
    told: Vec<Told>,
    causes: BTreeMap<Same, usize>,
    /// For each kind how many causes there were, and the first that is not told.
    kinds: BTreeMap<Rule, (usize, Option<Problem>)>,
    error: bool,
}

impl Problems {
    /// Takes one in.
    pub(crate) fn push(&mut self, problem: Problem) {
        self.error |= problem.is_error();
        let Complaint { what, cure } = &problem.complaint;
        let words = match problem.cause {
            Some(_) => String::new(),
            None => format!("{what}\n{}", cure.as_deref().unwrap_or_default()),
        };
        let severe = problem.severity == Severity::Error;
        let same = (
            problem.file.clone(),
            problem.rule,
            severe,
            problem.cause,
            words,
        );
        if let Some(told) = self.causes.get(&same).and_then(|at| self.told.get_mut(*at)) {
            told.add(problem);
            return;
        }
        let (number, first_untold) = self.kinds.entry(problem.rule).or_default();
        *number += 1;
        if *number <= TOLD {
            self.causes.insert(same, self.told.len());
            self.told.push(Told::of(problem));
        } else if first_untold.is_none() {
            *first_untold = Some(problem);
        }
    }

    /// Whether one of them stops the analysis.
    pub(crate) fn any_error(&self) -> bool {
        self.error
    }

    /// All of them, with a line for those of a kind that are not told.
    pub(crate) fn into_list(self) -> Vec<Problem> {
        let mut list: Vec<Problem> = self.told.into_iter().map(Told::into_one).collect();
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
                    times: u32::try_from(more).unwrap_or(u32::MAX),
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

impl Told {
    fn of(first: Problem) -> Self {
        Self {
            last: first.line,
            lines: Vec::new(),
            plots: Vec::new(),
            first,
        }
    }

    fn add(&mut self, again: Problem) {
        self.first.times = self.first.times.saturating_add(again.times);
        self.last = again.line;
        if self.lines.len() < NAMED {
            self.lines.push(again.line);
        }
        let other = again.plot.filter(|p| self.first.plot.as_ref() != Some(p));
        if let Some(plot) =
            other.filter(|p| self.plots.len() < MOST_PLOTS && !self.plots.contains(p))
        {
            self.plots.push(plot);
        }
    }

    /// The first with a clause on the others: their plots where they are on no line of their own, else their lines.
    fn into_one(self) -> Problem {
        let Self {
            mut first,
            lines,
            plots,
            last,
        } = self;
        let more = first.times as usize - 1;
        if more == 0 {
            return first;
        }
        let what = &mut first.complaint.what;
        // Writing to a String cannot fail.
        let _written = if lines.iter().all(|line| *line == first.line) {
            let noun = if plots.len() == 1 { "plot" } else { "plots" };
            write!(what, "; likewise {noun} {}", named(&plots, plots.last()))
        } else {
            let noun = if more == 1 { "line" } else { "lines" };
            let lines: Vec<String> = lines.iter().map(ToString::to_string).collect();
            let last = last.to_string();
            let known = if more > lines.len() {
                Some(&last)
            } else {
                None
            };
            write!(
                what,
                "; likewise on {more} more {noun}: {}",
                named(&lines, known)
            )
        };
        if !plots.is_empty() {
            first.plot = None;
        }
        first
    }
}

/// The first names, and the last where not all are given.
fn named(names: &[String], last: Option<&String>) -> String {
    let shown = names.len().min(NAMED);
    let list = names[..shown].join(", ");
    match last {
        Some(last) if names[..shown].last() != Some(last) => format!("{list} ... {last}"),
        _ => list,
    }
}
