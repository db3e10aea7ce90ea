//! A first plan: jobs one after another where they fit best, then exchanges that gain.

use super::{Job, Room};

/// Nights of each job, empty where it is left.
pub(super) type Nights = Vec<Vec<usize>>;

/// Worth of the jobs that have nights.
pub(super) fn worth(jobs: &[Job], nights: &Nights) -> f64 {
    let covered = jobs.iter().zip(nights).filter(|(_, on)| !on.is_empty());
    covered.map(|(job, _)| job.worth).sum()
}

/// Powers of what a job takes by which its worth is divided: from the worth alone to small jobs first.
const POWERS: [f64; 9] = [0.0, 0.25, 0.5, 0.75, 1.0, 1.25, 1.5, 2.0, 3.0];

/// Orders in which jobs are placed: by worth for what they take, of either resource, and the largest first.
fn orders(jobs: &[Job]) -> Vec<Vec<usize>> {
    let by = |key: &dyn Fn(&Job) -> f64| {
        let mut order: Vec<usize> = (0..jobs.len()).collect();
        order.sort_by(|a, b| key(&jobs[*b]).total_cmp(&key(&jobs[*a])));
        order
    };
    let mut all = vec![
        (0..jobs.len()).collect(),
        by(&|job| job.sheet_m2),
        by(&|job| job.hours),
    ];
    for power in POWERS {
        all.push(by(&|job| {
            job.worth / job.sheet_m2.max(f64::MIN_POSITIVE).powf(power)
        }));
        all.push(by(&|job| {
            job.worth / job.hours.max(f64::MIN_POSITIVE).powf(power)
        }));
    }
    all
}

/// The best of plans begun in several orders, each improved by exchanges.
pub(super) fn first_plan(jobs: &[Job], rooms: &[Room]) -> Nights {
    let mut best: Nights = vec![Vec::new(); jobs.len()];
    for order in orders(jobs) {
        let mut rooms = rooms.to_vec();
        let mut nights: Nights = vec![Vec::new(); jobs.len()];
        for job in order {
            place(jobs, job, &mut rooms, &mut nights);
        }
        while exchange(jobs, &mut rooms, &mut nights) {}
        if worth(jobs, &nights) > worth(jobs, &best) {
            best = nights;
        }
    }
    best
}

/// Puts a job on the nights that it leaves least room on; whether there were enough.
fn place(jobs: &[Job], at: usize, rooms: &mut [Room], nights: &mut Nights) -> bool {
    let job = &jobs[at];
    let mut fitting: Vec<usize> = (0..rooms.len()).filter(|n| rooms[*n].holds(job)).collect();
    if fitting.len() < job.nights {
        return false;
    }
    fitting.sort_by(|a, b| {
        rooms[*a]
            .sheet_m2
            .total_cmp(&rooms[*b].sheet_m2)
            .then(a.cmp(b))
    });
    fitting.truncate(job.nights);
    fitting.sort_unstable();
    for night in &fitting {
        rooms[*night].take(job);
    }
    nights[at] = fitting;
    true
}

/// Takes a job off its nights.
fn lift(jobs: &[Job], at: usize, rooms: &mut [Room], nights: &mut Nights) -> Vec<usize> {
    let was = std::mem::take(&mut nights[at]);
    for night in &was {
        rooms[*night].give_back(&jobs[at]);
    }
    was
}

/// Puts a job that is left in the place of one that is worth less, and after it whatever still fits; whether that gained.
fn exchange(jobs: &[Job], rooms: &mut [Room], nights: &mut Nights) -> bool {
    for left in 0..jobs.len() {
        if !nights[left].is_empty() {
            continue;
        }
        if place(jobs, left, rooms, nights) {
            return true;
        }
        for out in 0..jobs.len() {
            if nights[out].is_empty() || jobs[out].worth >= jobs[left].worth {
                continue;
            }
            let was = lift(jobs, out, rooms, nights);
            if place(jobs, left, rooms, nights) {
                return true;
            }
            for night in &was {
                rooms[*night].take(&jobs[out]);
            }
            nights[out] = was;
        }
    }
    false
}
