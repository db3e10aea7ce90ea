//! Person-minutes of each task, from the club's own rates or from earlier nights.
//!
//! A rate that is written in `[crew]` counts before the records. From three recorded nights on, person-minutes are fitted on the
//! square metres of sheet and the number of strips by least squares without an intercept, since no sheet takes no time; where
//! the two cannot be told apart, where there is no night to spare, or where one of them would save time, on the square metres
//! alone. With one night or two the mean per square metre is taken, without an interval. Nothing is assumed where there is
//! neither.

use halfgreen_analysis::regression::ThroughOrigin;
use serde::Serialize;

use super::{NightRecord, Rates, Task, Work};

/// Confidence of the intervals.
pub const LEVEL: f64 = 0.95;

/// Where a figure comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case", tag = "from")]
pub enum Basis {
    /// The club's own rate.
    Rate,
    /// A fit on three earlier nights or more.
    Regression {
        /// Nights.
        nights: usize,
        /// Degrees of freedom of the interval.
        df: usize,
    },
    /// The mean of one night or two.
    Mean {
        /// Nights.
        nights: usize,
    },
}

/// Person-minutes of one task tonight.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct TaskMinutes {
    /// The task.
    pub task: Task,
    /// Person-minutes; null where there is neither a rate nor a record.
    pub person_minutes: Option<f64>,
    /// Lower limit for this night, not below 0; null without a fit.
    pub low: Option<f64>,
    /// Upper limit.
    pub high: Option<f64>,
    /// Where it comes from.
    pub basis: Option<Basis>,
}

/// The whole night.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Hours {
    /// Every task, in the order of the night.
    pub tasks: Vec<TaskMinutes>,
    /// Person-minutes of them all; null where one is not known.
    pub person_minutes: Option<f64>,
    /// Lower limit, from a fit of the sum on nights with every task recorded; null where a rate or a mean is part of it.
    pub low: Option<f64>,
    /// Upper limit.
    pub high: Option<f64>,
}

impl Hours {
    /// Person-minutes of some tasks together; `None` where one is not known.
    #[must_use]
    pub fn of(&self, tasks: &[Task]) -> Option<f64> {
        let mine = self.tasks.iter().filter(|t| tasks.contains(&t.task));
        mine.map(|t| t.person_minutes).sum()
    }

    /// Tasks for which there is neither a rate nor a record.
    #[must_use]
    pub fn unknown(&self) -> Vec<Task> {
        let unknown = self.tasks.iter().filter(|t| t.person_minutes.is_none());
        unknown.map(|t| t.task).collect()
    }
}

/// Person-minutes of tonight's work.
#[must_use]
pub fn hours(work: &Work, rates: &Rates, nights: &[NightRecord]) -> Hours {
    let tasks: Vec<TaskMinutes> = Task::ALL
        .into_iter()
        .enumerate()
        .map(|(at, task)| match work.at_rate(task, rates) {
            Some(minutes) => known(task, minutes, None, Basis::Rate),
            None => recorded(task, work, &observed(nights, |n| n.person_minutes[at])),
        })
        .collect();
    let person_minutes = tasks.iter().map(|t| t.person_minutes).sum();
    let fitted = |t: &TaskMinutes| matches!(t.basis, Some(Basis::Regression { .. }));
    let whole = if tasks.iter().all(fitted) {
        let sums = observed(nights, |n| n.person_minutes.iter().copied().sum());
        fit(work, &sums).map(|(_, low, high, _)| (low, high))
    } else {
        None
    };
    Hours {
        tasks,
        person_minutes,
        low: whole.map(|w| w.0),
        high: whole.map(|w| w.1),
    }
}

/// Square metres, strips and person-minutes of the nights on which they were written down.
fn observed(
    nights: &[NightRecord],
    minutes: impl Fn(&NightRecord) -> Option<f64>,
) -> Vec<[f64; 3]> {
    let all = nights.iter();
    all.filter_map(|n| Some([n.sheet_m2, n.strips, minutes(n)?]))
        .collect()
}

fn known(task: Task, minutes: f64, limits: Option<(f64, f64)>, basis: Basis) -> TaskMinutes {
    TaskMinutes {
        task,
        person_minutes: Some(minutes),
        low: limits.map(|l| l.0),
        high: limits.map(|l| l.1),
        basis: Some(basis),
    }
}

fn recorded(task: Task, work: &Work, nights: &[[f64; 3]]) -> TaskMinutes {
    if let Some((minutes, low, high, df)) = fit(work, nights) {
        let nights = nights.len();
        return known(
            task,
            minutes,
            Some((low, high)),
            Basis::Regression { nights, df },
        );
    }
    let sheet: f64 = nights.iter().map(|n| n[0]).sum();
    if sheet > 0.0 {
        let minutes: f64 = nights.iter().map(|n| n[2]).sum();
        let nights = nights.len();
        return known(
            task,
            minutes / sheet * work.sheet_m2,
            None,
            Basis::Mean { nights },
        );
    }
    TaskMinutes {
        task,
        person_minutes: None,
        low: None,
        high: None,
        basis: None,
    }
}

/// Person-minutes with limits and degrees of freedom, from three nights or more.
fn fit(work: &Work, nights: &[[f64; 3]]) -> Option<(f64, f64, f64, usize)> {
    if nights.len() < 3 {
        return None;
    }
    let column = |at: usize| -> Vec<f64> { nights.iter().map(|n| n[at]).collect() };
    let (sheet, strips, minutes) = (column(0), column(1), column(2));
    let both = ThroughOrigin::fit(&minutes, &[&sheet, &strips])
        .filter(|fit| fit.coefficients.iter().all(|b| *b >= 0.0));
    let tonight = [work.sheet_m2, work.strips as f64];
    let (fit, at) = match both {
        Some(fit) => (fit, &tonight[..]),
        None => (ThroughOrigin::fit(&minutes, &[&sheet])?, &tonight[..1]),
    };
    let next = fit.next(at, LEVEL);
    Some((
        fit.expected(at),
        next.low.max(0.0),
        next.high,
        fit.residual_df,
    ))
}
