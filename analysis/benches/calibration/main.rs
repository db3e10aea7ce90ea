//! The calibration bench: what 5 % and 95 % are worth, for the headline test and for common practice.
//!
//!     cargo bench -p halfgreen-analysis --bench calibration
//!
//! writes `CALIBRATION.md`, `cells.csv` and `calibration.svg` beside this file; with nothing else
//! running it takes about half an hour on two cores. `HALFGREEN_TRIALS` sets the null trials of each
//! cell (10 000), `HALFGREEN_QUICK=1` runs a tenth of the cells.
#![allow(
    clippy::print_stderr,
    clippy::unwrap_used,
    clippy::disallowed_methods,
    clippy::too_many_lines,
    reason = "a bench talks to its terminal, reads its settings and stops where it cannot go on"
)]

mod cells;
mod field;
mod figure;
mod page;
mod practice;
mod run;

use std::path::PathBuf;

fn main() {
    // `cargo test --benches` runs every bench once: then only a glimpse is wanted.
    let glimpse = std::env::args().any(|a| a == "--test");
    let setting = |name: &str| std::env::var(name).ok().and_then(|v| v.parse::<u64>().ok());
    let trials = setting("HALFGREEN_TRIALS").unwrap_or(if glimpse { 20 } else { 10_000 });
    let every = if glimpse {
        200
    } else if setting("HALFGREEN_QUICK").is_some() {
        10
    } else {
        1
    };
    let cells: Vec<cells::Cell> = cells::all().into_iter().step_by(every).collect();
    let mut outcomes = Vec::with_capacity(cells.len());
    for (done, cell) in cells.iter().enumerate() {
        if done % 50 == 0 {
            eprintln!("{done} of {} cells", cells.len());
        }
        outcomes.push(run::run(cell, trials));
    }
    if glimpse {
        return;
    }
    let here = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("benches/calibration");
    let write = |name: &str, text: String| std::fs::write(here.join(name), text).unwrap();
    write("cells.csv", page::csv(&outcomes));
    write("CALIBRATION.md", page::markdown(&outcomes, trials));
    write("calibration.svg", figure::draw(&outcomes));
}
