//! What no plan can exceed: jobs in fractions, all nights put together, both resources weighed into one.

use super::{Job, Room};

/// How both resources are weighed into one, as shares of what there is; any weight gives a bound, the best one that
/// of the linear relaxation with all nights put together.
#[derive(Debug, Clone, Copy)]
pub(super) struct Weights {
    per_m2: f64,
    per_hour: f64,
}

/// Weights that are tried, evenly from hours alone to sheet alone.
const TRIED: u32 = 40;

impl Weights {
    /// The weights with the least bound over all jobs.
    pub(super) fn best(jobs: &[Job], rooms: &[Room]) -> Self {
        let all = together(rooms);
        let weights = |share: f64| Self {
            per_m2: share / all.sheet_m2.max(f64::MIN_POSITIVE),
            per_hour: (1.0 - share) / all.hours.max(f64::MIN_POSITIVE),
        };
        let of = |share: f64| {
            let weights = weights(share);
            let mut jobs = jobs.to_vec();
            weights.order(&mut jobs);
            (weights.bound(&jobs, weights.room(all)), weights)
        };
        let tried = (0..=TRIED).map(|i| of(f64::from(i) / f64::from(TRIED)));
        let best = tried.min_by(|a, b| a.0.total_cmp(&b.0));
        best.map_or_else(|| weights(0.5), |(_, weights)| weights)
    }

    /// What a job takes on all its nights.
    pub(super) fn of(&self, job: &Job) -> f64 {
        job.nights as f64 * (self.per_m2 * job.sheet_m2 + self.per_hour * job.hours)
    }

    /// What there is room for.
    pub(super) fn room(&self, room: Room) -> f64 {
        self.per_m2 * room.sheet_m2.max(0.0) + self.per_hour * room.hours.max(0.0)
    }

    /// Puts the jobs first that give most for what they take; alike jobs stay side by side.
    pub(super) fn order(&self, jobs: &mut [Job]) {
        let rate = |job: &Job| job.worth / self.of(job).max(f64::MIN_POSITIVE);
        jobs.sort_by(|a, b| rate(b).total_cmp(&rate(a)).then(a.alike.cmp(&b.alike)));
    }

    /// Worth of jobs in this order that fill a room, the last in a fraction.
    pub(super) fn bound(&self, ordered: &[Job], mut room: f64) -> f64 {
        let mut worth = 0.0;
        for job in ordered {
            let takes = self.of(job);
            if takes > room {
                return worth + job.worth * room / takes;
            }
            room -= takes;
            worth += job.worth;
        }
        worth
    }
}

/// The rooms of several nights together.
pub(super) fn together(rooms: &[Room]) -> Room {
    Room {
        sheet_m2: rooms.iter().map(|r| r.sheet_m2).sum(),
        hours: rooms.iter().map(|r| r.hours).sum(),
    }
}
