//! What is done in a night.

use serde::Serialize;

pub use crate::design::Rates;

/// A task, in the order of the night.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Task {
    /// Rolling strips out.
    Lay,
    /// Carrying and placing weights.
    Weigh,
    /// Taking weights off and strips up.
    Lift,
    /// Counting what lies there.
    Count,
    /// Carrying everything away.
    Clear,
    /// Hanging strips out and folding them dry.
    Dry,
}

impl Task {
    /// All of them, in the order of the night.
    pub const ALL: [Self; 6] = [
        Self::Lay,
        Self::Weigh,
        Self::Lift,
        Self::Count,
        Self::Clear,
        Self::Dry,
    ];

    /// The word for people, and the beginning of the task's column in `nights.csv`.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Lay => "lay",
            Self::Weigh => "weigh",
            Self::Lift => "lift",
            Self::Count => "count",
            Self::Clear => "clear",
            Self::Dry => "dry",
        }
    }

    /// The key of its rate in `[crew]`.
    #[must_use]
    pub const fn key(self) -> &'static str {
        match self {
            Self::Lay => "lay_person_minutes_per_100_m2",
            Self::Weigh => "weigh_person_minutes_per_weight",
            Self::Lift => "lift_person_minutes_per_100_m2",
            Self::Count => "count_person_minutes_per_plot",
            Self::Clear => "clear_person_minutes_per_100_m2",
            Self::Dry => "dry_person_minutes_per_100_m2",
        }
    }
}

/// How much there is to do.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Work {
    /// Sheet, square metres.
    pub sheet_m2: f64,
    /// Strips.
    pub strips: u64,
    /// Weights; absent where their number is not known.
    pub weights: Option<u64>,
    /// Plots to count, or greens.
    pub plots: u64,
}

impl Work {
    /// Person-minutes of a task at the club's rate; `None` where there is none, or nothing to apply it to.
    #[must_use]
    pub fn at_rate(&self, task: Task, rates: &Rates) -> Option<f64> {
        let hundreds = self.sheet_m2 / 100.0;
        let times = |rate: Option<f64>, of: f64| rate.map(|rate| rate * of);
        match task {
            Task::Lay => times(rates.lay_per_100_m2, hundreds),
            Task::Weigh => times(rates.weigh_per_weight, self.weights? as f64),
            Task::Lift => times(rates.lift_per_100_m2, hundreds),
            Task::Count => times(rates.count_per_plot, self.plots as f64),
            Task::Clear => times(rates.clear_per_100_m2, hundreds),
            Task::Dry => times(rates.dry_per_100_m2, hundreds),
        }
    }
}
