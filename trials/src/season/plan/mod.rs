//! Which pieces of ground are covered on which night, so that most is reached: an assignment with two kinds of room.
//!
//! *In.* [`Job`]s, each of which needs sheet and person-hours on so many nights, and the [`Room`] of every night. *Out.*
//! [`Plan`]: the nights of every job, or none; its worth, and a bound that no plan can exceed.
//!
//! It is a multiple knapsack problem with two resources (Martello & Toth 1990, "Knapsack Problems", ch. 6, from memory). Solved by
//! branch and bound ([`search`]); the bound is that of the linear relaxation with all nights put together ([`bound`]). Where the steps that
//! are allowed do not suffice, the best plan found stands beside the bound. The steps are counted, not timed, so that
//! the same question gets the same plan on any machine.

mod bound;
mod improve;
mod search;

pub use search::{Plan, STEPS, best_plan};

/// A piece of ground that is covered as a whole, or not.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Job {
    /// What covering it on all its nights is worth; not negative.
    pub worth: f64,
    /// Sheet that it takes on each of its nights, square metres.
    pub sheet_m2: f64,
    /// Person-hours that it takes on each of its nights.
    pub hours: f64,
    /// Nights that it takes, at least 1.
    pub nights: usize,
    /// Pieces of one name are alike: only how many of them are covered matters.
    pub alike: usize,
}

/// What a night has room for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Room {
    /// Sheet, square metres.
    pub sheet_m2: f64,
    /// Person-hours.
    pub hours: f64,
}

/// Rounding of sums of areas and hours, as a share of them: far above that of doubles, far below a square metre.
const HAIR: f64 = 1e-9;

impl Room {
    /// Whether there is room for a job.
    fn holds(&self, job: &Job) -> bool {
        job.sheet_m2 <= self.sheet_m2 * (1.0 + HAIR) + HAIR
            && job.hours <= self.hours * (1.0 + HAIR) + HAIR
    }

    fn take(&mut self, job: &Job) {
        self.sheet_m2 -= job.sheet_m2;
        self.hours -= job.hours;
    }

    fn give_back(&mut self, job: &Job) {
        self.sheet_m2 += job.sheet_m2;
        self.hours += job.hours;
    }
}
