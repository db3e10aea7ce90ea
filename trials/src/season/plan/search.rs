//! Branch and bound: each job in turn on every set of nights that differs, or left.

use super::bound::{Weights, together};
use super::improve::{Nights, first_plan, worth};
use super::{HAIR, Job, Room};

/// Steps that a search may take: some hundred nanoseconds each for 27 jobs.
pub const STEPS: u64 = 1_000_000;

/// Sets of nights that are tried for one job at most; beyond them the plan is not proven.
const CHOICES: usize = 400;

/// Which job is done on which nights.
#[derive(Debug, Clone, PartialEq)]
pub struct Plan {
    /// Nights of each job in the order of the jobs, ascending; empty where it is left.
    pub nights: Vec<Vec<usize>>,
    /// What the jobs that are done are worth.
    pub worth: f64,
    /// What no plan can exceed; the worth itself where the plan is proven best.
    pub bound: f64,
    /// Whether no plan is better.
    pub proven: bool,
}

/// The best plan, or the best that `steps` steps of search find.
#[must_use]
pub fn best_plan(jobs: &[Job], rooms: &[Room], steps: u64) -> Plan {
    let fits = |job: &&Job| {
        job.worth > 0.0 && rooms.iter().filter(|room| room.holds(job)).count() >= job.nights
    };
    let mut ordered: Vec<Job> = jobs.iter().filter(fits).copied().collect();
    let weights = Weights::best(&ordered, rooms);
    weights.order(&mut ordered);
    let best = first_plan(&ordered, rooms);
    let root = weights.bound(&ordered, weights.room(together(rooms)));
    let mut search = Search {
        best_worth: worth(&ordered, &best),
        best,
        nights: vec![Vec::new(); ordered.len()],
        rooms: rooms.to_vec(),
        smallest: smallest(&ordered),
        jobs: &ordered,
        weights,
        steps,
    };
    let whole = search.step(0, 0.0);
    let proven = whole || search.done(root);
    Plan {
        nights: in_order(jobs, &ordered, &search.best),
        worth: search.best_worth,
        bound: if proven {
            search.best_worth
        } else {
            root.max(search.best_worth)
        },
        proven,
    }
}

/// The plan of ordered jobs in the order that was asked: jobs of one name are alike.
fn in_order(jobs: &[Job], ordered: &[Job], nights: &Nights) -> Nights {
    let mut rest: Vec<(&Job, &Vec<usize>)> = ordered.iter().zip(nights).collect();
    // Pieces that are covered come before those alike that are left, the earliest nights first.
    rest.sort_by(|a, b| (a.1.is_empty(), a.1).cmp(&(b.1.is_empty(), b.1)));
    let mut taken = |job: &Job| {
        let at = rest.iter().position(|(other, _)| *other == job)?;
        Some(rest.remove(at).1.clone())
    };
    jobs.iter()
        .map(|job| taken(job).unwrap_or_default())
        .collect()
}

/// For each place in the order, the least sheet and the fewest hours that any job from there on takes.
fn smallest(ordered: &[Job]) -> Vec<Room> {
    let mut least = Room {
        sheet_m2: f64::INFINITY,
        hours: f64::INFINITY,
    };
    let mut all = vec![least; ordered.len() + 1];
    for (at, job) in ordered.iter().enumerate().rev() {
        least.sheet_m2 = least.sheet_m2.min(job.sheet_m2);
        least.hours = least.hours.min(job.hours);
        all[at] = least;
    }
    all
}

struct Search<'a> {
    jobs: &'a [Job],
    weights: Weights,
    smallest: Vec<Room>,
    rooms: Vec<Room>,
    nights: Nights,
    best: Nights,
    best_worth: f64,
    /// Steps that are left.
    steps: u64,
}

impl Search<'_> {
    /// Whether nothing bounded by `most` can be better than what was found.
    fn done(&self, most: f64) -> bool {
        most <= self.best_worth * (1.0 + HAIR)
    }

    /// Looks at all plans that begin like this one; `false` where the steps did not suffice.
    fn step(&mut self, at: usize, so_far: f64) -> bool {
        if so_far > self.best_worth * (1.0 + HAIR) {
            self.best_worth = so_far;
            self.best.clone_from(&self.nights);
        }
        let Some(job) = self.jobs.get(at).copied() else {
            return true;
        };
        if self.done(so_far + self.reachable(at)) {
            return true;
        }
        if self.steps == 0 {
            return false;
        }
        self.steps -= 1;
        let before = at
            .checked_sub(1)
            .filter(|b| self.jobs[*b].alike == job.alike);
        let mut whole = true;
        // Of pieces alike the first ones are covered, in the order of their nights.
        if before.is_none_or(|b| !self.nights[b].is_empty()) {
            let from = before
                .filter(|_| job.nights == 1)
                .map_or(0, |b| self.nights[b][0]);
            let choices = self.choices(&job, from);
            whole = choices.len() < CHOICES;
            for on in choices {
                for night in &on {
                    self.rooms[*night].take(&job);
                }
                self.nights[at].clone_from(&on);
                whole &= self.step(at + 1, so_far + job.worth);
                self.nights[at].clear();
                for night in &on {
                    self.rooms[*night].give_back(&job);
                }
            }
        }
        whole & self.step(at + 1, so_far)
    }

    /// What the jobs from here on can add at most: nights on which none of them fits have no room.
    fn reachable(&self, at: usize) -> f64 {
        let least = self.smallest[at];
        let of_use = |room: &&Room| {
            room.sheet_m2 + HAIR * (1.0 + room.sheet_m2) >= least.sheet_m2
                && room.hours + HAIR * (1.0 + room.hours) >= least.hours
        };
        let room: f64 = self
            .rooms
            .iter()
            .filter(of_use)
            .map(|r| self.weights.room(*r))
            .sum();
        self.weights.bound(&self.jobs[at..], room * (1.0 + HAIR))
    }

    /// Sets of nights that a job can have, one of each kind: nights with equal room are alike. Tightest first.
    fn choices(&self, job: &Job, from: usize) -> Vec<Vec<usize>> {
        let mut fitting: Vec<usize> = (from..self.rooms.len())
            .filter(|n| self.rooms[*n].holds(job))
            .collect();
        let room = |n: &usize| (self.rooms[*n].sheet_m2, self.rooms[*n].hours);
        fitting.sort_by(|a, b| {
            let (x, y) = (room(a), room(b));
            x.0.total_cmp(&y.0).then(x.1.total_cmp(&y.1)).then(a.cmp(b))
        });
        let mut found = Vec::new();
        self.extend(&fitting, job.nights, &mut Vec::new(), &mut found);
        found
    }

    /// Adds every set of so many more of the nights; of nights with equal room the first ones are taken.
    fn extend(
        &self,
        fitting: &[usize],
        more: usize,
        so_far: &mut Vec<usize>,
        found: &mut Vec<Vec<usize>>,
    ) {
        if found.len() == CHOICES {
            return;
        }
        if more == 0 {
            let mut on = so_far.clone();
            on.sort_unstable();
            found.push(on);
            return;
        }
        let mut last: Option<Room> = None;
        for (place, night) in fitting.iter().enumerate() {
            if last == Some(self.rooms[*night]) {
                continue;
            }
            last = Some(self.rooms[*night]);
            so_far.push(*night);
            self.extend(&fitting[place + 1..], more - 1, so_far, found);
            so_far.pop();
        }
    }
}
