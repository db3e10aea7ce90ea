//! The pooling bench: does the interval of the average effect hold the truth, and whose error should weigh a club?
//!
//!     cargo bench -p halfgreen-analysis --bench pooling
//!
//! simulates clubs from raw counts, judges each by the headline test's own estimate and by a plain count model, pools 5, 10 and 40 of
//! them in several ways, and writes `cells.csv`, a line for each cell and way, `counts.csv`, the same of the likelihood of totals, then
//! `POOLING.md` beside this file. Two seeds: the
//! first chose between the ways, the second confirms. Cells that stand in `cells.csv` already are kept, so that a run can be
//! broken off and taken up again: **delete `cells.csv` and `counts.csv` first whenever the test or the pooling has changed.** `HALFGREEN_CLUBS` sets the clubs
//! simulated for each cell and seed (8 000); `HALFGREEN_PAGE=1` draws none and writes the page of the cells that stand, which says how many.
#![allow(
    clippy::print_stderr,
    clippy::unwrap_used,
    clippy::disallowed_methods,
    reason = "a bench talks to its terminal, reads its settings and stops where it cannot go on"
)]

mod by_counts;
mod clubs;
mod page;
mod ways;

use std::fs;
use std::path::PathBuf;

/// The seed that chose, and the one that confirms.
const SEEDS: [u64; 2] = [20_261_130, 20_261_201];

fn main() {
    // `cargo test --benches` runs every bench once: then only a glimpse is wanted.
    let glimpse = std::env::args().any(|a| a == "--test");
    let asked = std::env::var("HALFGREEN_CLUBS")
        .ok()
        .and_then(|v| v.parse().ok());
    let number: u64 = asked.unwrap_or(if glimpse { 40 } else { 8_000 });
    let here = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("benches/pooling");
    let kept = if glimpse {
        String::new()
    } else {
        fs::read_to_string(here.join("cells.csv")).unwrap_or_default()
    };
    let standing = std::env::var_os("HALFGREEN_PAGE").is_some();
    let mut rows = Vec::new();
    for seed in SEEDS {
        for (place, cell) in (0..)
            .zip(clubs::cells())
            .step_by(if glimpse { 10 } else { 1 })
        {
            let before = page::read(&kept, &cell, seed, number);
            if !before.is_empty() || standing {
                rows.extend(before);
                continue;
            }
            let drawn = clubs::draw(&cell, place, number, seed);
            rows.extend(ways::run(&cell, &drawn, seed));
            if !glimpse {
                fs::write(here.join("cells.csv"), page::csv(&rows)).unwrap();
                eprintln!("seed {seed}: {}", cell.key());
            }
        }
    }
    let lines = here.join("counts.csv");
    let mut counts = if glimpse {
        String::new()
    } else {
        fs::read_to_string(&lines).unwrap_or_default()
    };
    if !standing {
        counts = by_counts::run(&counts, SEEDS[1], glimpse, |text| {
            if !glimpse {
                fs::write(&lines, text).unwrap();
                eprintln!("totals: {} lines", text.lines().count() - 1);
            }
        });
    }
    if !glimpse {
        let page = page::markdown(&rows, number) + &by_counts::markdown(&counts);
        fs::write(here.join("POOLING.md"), page).unwrap();
    }
}
