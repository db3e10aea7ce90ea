//! Damaged input at every door of the tool: each answers or refuses, in bounded time, and what it takes is sound.
//!
//! A [`Door`] is one reader with texts that it takes as they are. Texts are damaged as disks, copies, spreadsheets and
//! people damage them ([`damage`]), and the door must not panic nor take long. A new reader joins by one line in
//! [`DOORS`]. A longer run: `PROPTEST_CASES=100000 cargo test --release -p halfgreen --test toolkit mutation`.

mod damage;
mod outlines;

use std::time::{Duration, Instant};

use proptest::test_runner::{Config, RngAlgorithm, TestRng, TestRunner};

use damage::{Damage, damages};

/// Longest that a command may take on any input.
const LONGEST: Duration = Duration::from_secs(10);

/// A reader of texts.
struct Door {
    /// What it reads, for the report of a failure.
    name: &'static str,
    /// Texts that it takes as they are.
    seeds: fn() -> Vec<String>,
    /// Reads a text, checks what came of it, and tells whether it was taken.
    enter: fn(&str) -> bool,
}

/// All doors there are.
const DOORS: [Door; 4] = outlines::DOORS;

#[test]
fn seeds_are_taken_as_they_are() {
    for door in &DOORS {
        for (i, seed) in (door.seeds)().iter().enumerate() {
            assert!((door.enter)(seed), "{}: seed {i} is refused", door.name);
        }
    }
}

#[test]
fn damaged_texts_are_answered() {
    for door in &DOORS {
        let seeds = (door.seeds)();
        let rng = TestRng::from_seed(RngAlgorithm::ChaCha, &[13; 32]);
        let config = Config {
            failure_persistence: None,
            ..Config::default()
        };
        TestRunner::new_with_rng(config, rng)
            .run(&damages(), |damages: Vec<Damage>| {
                let text = damage::damaged(&seeds, &damages);
                let began = Instant::now();
                (door.enter)(&text);
                let took = began.elapsed();
                assert!(took < LONGEST, "{} took {took:?}:\n{text}", door.name);
                Ok(())
            })
            .unwrap();
    }
}
