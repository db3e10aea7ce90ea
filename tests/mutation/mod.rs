//! Damaged input at every door of the tool: each answers or refuses, in bounded time, and what it takes is sound.
//!
//! A [`Door`] is one reader with texts that it takes as they are. Texts are damaged as disks, copies, spreadsheets and
//! people damage them ([`damage`]), and the door must not panic nor take long. A new reader joins by one line in a list of
//! doors. Requests are damaged by numbers in and about their ranges ([`requests`]).
//!
//! The short run is a part of the tests. The long one goes on for as many seconds as `MUTATION_SECONDS` says, each time round
//! with other damage:
//!
//!     MUTATION_SECONDS=600 cargo test --release -p halfgreen --test toolkit mutation::long -- --ignored --nocapture

#[cfg(feature = "archive")]
mod archives;
mod damage;
mod kept;
mod long;
mod outlines;
mod packs;
mod requests;
mod tables;
mod trials;

use std::time::{Duration, Instant};

use cpu_time::ProcessTime;
use proptest::test_runner::{Config, RngAlgorithm, TestRng, TestRunner};

use damage::{Damage, damages};

/// Longest that a command may take on any input.
// Ten seconds for the released command; built for tests, with little optimisation, the same work takes three to four times as long.
const LONGEST: Duration = Duration::from_secs(if cfg!(debug_assertions) { 40 } else { 10 });

/// A reader of texts.
struct Door {
    /// What it reads, for the report of a failure.
    name: &'static str,
    /// How many texts an outline's reader reads while this one reads one.
    cost: u32,
    /// Texts that it takes as they are.
    seeds: fn() -> Vec<String>,
    /// Reads a text, checks what came of it, and tells whether it was taken.
    enter: fn(&str) -> bool,
}

/// All doors there are.
fn doors() -> Vec<Door> {
    let mut all = Vec::from(outlines::DOORS);
    all.extend(tables::DOORS);
    all.extend(trials::DOORS);
    all.extend(kept::DOORS);
    all.extend(packs::DOORS);
    #[cfg(feature = "archive")]
    all.extend(archives::DOORS);
    all
}

#[test]
fn seeds_are_taken_as_they_are() {
    for door in doors() {
        for (i, seed) in (door.seeds)().iter().enumerate() {
            assert!((door.enter)(seed), "{}: seed {i} is refused", door.name);
        }
    }
}

#[test]
fn damaged_texts_are_answered() {
    for door in doors() {
        let cases = Config::default().cases / door.cost;
        damaged(&door, cases.max(1), 13);
    }
}

/// Damages the texts of a door in so many ways, and tells how many were taken all the same.
fn damaged(door: &Door, cases: u32, seed: u32) -> u32 {
    let seeds = (door.seeds)();
    let taken = std::cell::Cell::new(0);
    runner(cases, seed)
        .run(&damages(), |damages: Vec<Damage>| {
            let text = damage::damaged(&seeds, &damages);
            taken.set(taken.get() + u32::from(timed(door.name, &text, || (door.enter)(&text))));
            Ok(())
        })
        .unwrap();
    taken.get()
}

/// Tries so many cases that follow from a seed.
fn runner(cases: u32, seed: u32) -> TestRunner {
    let rng = TestRng::from_seed(RngAlgorithm::ChaCha, &seed.to_le_bytes().repeat(8));
    let config = Config {
        cases,
        failure_persistence: None,
        ..Config::default()
    };
    TestRunner::new_with_rng(config, rng)
}

/// Does something that must not take long.
fn timed<T>(door: &str, with: &str, enter: impl FnOnce() -> T) -> T {
    let began = Began::now();
    let _watch = long::watch(door, with);
    let found = enter();
    let took = began.took();
    assert!(took < LONGEST, "{door} took {took:?}:\n{with}");
    found
}

/// When something began, by the clock and by the time that the processors have given to this process.
#[derive(Debug, Clone, Copy)]
struct Began {
    clock: Instant,
    processors: ProcessTime,
}

impl Began {
    fn now() -> Self {
        Self {
            clock: Instant::now(),
            processors: ProcessTime::now(),
        }
    }

    /// The lesser of both, so that neither other programs nor tests beside this one count.
    fn took(self) -> Duration {
        self.clock.elapsed().min(self.processors.elapsed())
    }
}
