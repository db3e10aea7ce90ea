//! The plan against an exact solver (microlp, mixed-integer linear programs) and against every plan there is.

use halfgreen::season::{Job, Plan, Room, STEPS, best_plan};
use microlp::{ComparisonOp, LinearExpr, OptimizationDirection, Problem, SolveOutcome, Variable};
use proptest::prelude::*;

/// The most that any plan reaches, by mixed-integer programming.
fn by_solver(jobs: &[Job], rooms: &[Room]) -> f64 {
    let mut problem = Problem::new(OptimizationDirection::Maximize);
    let mut on: Vec<Vec<Variable>> = Vec::new();
    for job in jobs {
        let done = problem.add_binary_var(job.worth);
        let nights: Vec<Variable> = rooms.iter().map(|_| problem.add_binary_var(0.0)).collect();
        let mut all = LinearExpr::empty();
        for night in &nights {
            all.add(*night, 1.0);
        }
        all.add(done, -(job.nights as f64));
        problem.add_constraint(all, ComparisonOp::Eq, 0.0);
        on.push(nights);
    }
    for (night, room) in rooms.iter().enumerate() {
        let (mut sheet, mut hours) = (LinearExpr::empty(), LinearExpr::empty());
        for (job, nights) in jobs.iter().zip(&on) {
            sheet.add(nights[night], job.sheet_m2);
            hours.add(nights[night], job.hours);
        }
        problem.add_constraint(sheet, ComparisonOp::Le, room.sheet_m2);
        problem.add_constraint(hours, ComparisonOp::Le, room.hours);
    }
    match problem.solve() {
        Ok(SolveOutcome::Solution(solution)) => solution.objective(),
        other => panic!("{other:?}"),
    }
}

/// What is worth its name of a plan: every job on as many nights as it takes, no night fuller than it may be.
fn keeps_the_rules(jobs: &[Job], rooms: &[Room], plan: &Plan) {
    let mut left: Vec<Room> = rooms.to_vec();
    let mut worth = 0.0;
    for (job, on) in jobs.iter().zip(&plan.nights) {
        assert!(on.is_empty() || on.len() == job.nights, "{on:?}");
        assert!(on.windows(2).all(|pair| pair[0] < pair[1]), "{on:?}");
        for night in on {
            left[*night].sheet_m2 -= job.sheet_m2;
            left[*night].hours -= job.hours;
        }
        worth += if on.is_empty() { 0.0 } else { job.worth };
    }
    assert!(
        left.iter().all(|r| r.sheet_m2 >= -1e-6 && r.hours >= -1e-6),
        "{left:?}"
    );
    assert!((worth - plan.worth).abs() <= 1e-9 * worth.max(1.0));
    assert!(plan.bound >= plan.worth * (1.0 - 1e-12));
}

fn jobs() -> impl Strategy<Value = Vec<Job>> {
    let job = (0_u32..9000, 50_u32..600, 1_usize..3, 0_usize..3);
    proptest::collection::vec(job, 2..8).prop_map(|all| {
        let mut jobs: Vec<Job> = Vec::new();
        for (at, (worth, sheet, nights, alike)) in all.into_iter().enumerate() {
            // Some greens are cut into pieces alike.
            let piece = Job {
                worth: f64::from(worth),
                sheet_m2: f64::from(sheet),
                hours: f64::from(sheet / 10) / 10.0,
                nights,
                alike: at,
            };
            jobs.extend(std::iter::repeat_n(piece, if alike == 2 { 2 } else { 1 }));
        }
        jobs
    })
}

fn rooms() -> impl Strategy<Value = Vec<Room>> {
    let room = (200_u32..1000, 3_u32..12).prop_map(|(sheet, hours)| Room {
        sheet_m2: f64::from(sheet),
        hours: f64::from(hours),
    });
    proptest::collection::vec(room, 1..4)
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 200, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn no_plan_of_two_hundred_small_cases_is_better(jobs in jobs(), rooms in rooms()) {
        let plan = best_plan(&jobs, &rooms, STEPS);
        keeps_the_rules(&jobs, &rooms, &plan);
        prop_assert!(plan.proven);
        let best = by_solver(&jobs, &rooms);
        prop_assert!((plan.worth - best).abs() <= 1e-6 * best.max(1.0), "{} is not {best}", plan.worth);
    }

    /// However few steps there are, the plan keeps the rules and the bound holds.
    #[test]
    fn a_search_cut_short_is_bounded(jobs in jobs(), rooms in rooms(), steps in 0_u64..30) {
        let cut = best_plan(&jobs, &rooms, steps);
        keeps_the_rules(&jobs, &rooms, &cut);
        let best = best_plan(&jobs, &rooms, STEPS).worth;
        prop_assert!(cut.worth <= best * (1.0 + 1e-9) && best <= cut.bound * (1.0 + 1e-9));
        prop_assert!(!cut.proven || (cut.worth - best).abs() <= 1e-6 * best.max(1.0));
    }
}

/// Twenty-seven greens in ten nights of two greens each: more than can be looked through, so that a bound stands beside.
#[test]
fn a_whole_course_gets_a_plan_near_its_bound() {
    let jobs: Vec<Job> = (0..27_u32)
        .map(|i| Job {
            worth: f64::from(1 + (i * 7919) % 97) * 100.0,
            sheet_m2: f64::from(400 + (i * 131) % 300),
            hours: f64::from(400 + (i * 131) % 300) / 80.0,
            nights: 1,
            alike: i as usize,
        })
        .collect();
    let rooms = [Room {
        sheet_m2: 1300.0,
        hours: 18.0,
    }; 10];
    let plan = best_plan(&jobs, &rooms, STEPS);
    keeps_the_rules(&jobs, &rooms, &plan);
    assert!(
        plan.bound <= 1.08 * plan.worth,
        "{} of {}",
        plan.worth,
        plan.bound
    );
    assert_eq!(
        plan,
        best_plan(&jobs, &rooms, STEPS),
        "the same question, the same plan"
    );
}

#[test]
fn what_cannot_be_covered_or_holds_nothing_is_left() {
    let job = |worth: f64, sheet_m2: f64, nights: usize| Job {
        worth,
        sheet_m2,
        hours: 1.0,
        nights,
        alike: 0,
    };
    let room = Room {
        sheet_m2: 500.0,
        hours: 8.0,
    };
    let left = |job: Job| best_plan(&[job], &[room; 2], STEPS).nights[0].is_empty();
    assert!(left(job(9.0, 501.0, 1)) && left(job(9.0, 10.0, 3)) && left(job(0.0, 10.0, 1)));
    assert!(!left(job(9.0, 500.0, 2)));
    assert_eq!(best_plan(&[], &[room], STEPS).worth, 0.0);
    assert!(best_plan(&[job(1.0, 1.0, 1)], &[], STEPS).nights[0].is_empty());
}
