//! The calibration bench: what 5 % and 95 % are worth, for the headline test and for common practice.
//!
//!     cargo bench -p halfgreen-analysis --bench calibration
//!
//! writes `cells.csv`, a line after each cell, then `CALIBRATION.md` and `calibration.svg` beside this
//! file; with nothing else running it takes about an hour on two cores. Cells that stand in
//! `cells.csv` already are kept, so that a run can be broken off and taken up again: **delete
//! `cells.csv` first whenever the test has changed.** `HALFGREEN_TRIALS` sets the null trials of each
//! cell (10 000). `HALFGREEN_BY_GROUP=1` writes `BY_GROUP.md` alone, with a fifth as many trials a cell (ten CPU-minutes);
//! `HALFGREEN_CELLS=N` keeps to the first N cells and writes no other page;
//! `HALFGREEN_GRADIENT=1` writes `GRADIENT.md` alone (five CPU-minutes with 5 000 trials).
#![allow(
    clippy::print_stderr,
    clippy::unwrap_used,
    clippy::disallowed_methods,
    clippy::too_many_lines,
    reason = "a bench talks to its terminal, reads its settings and stops where it cannot go on"
)]

mod by_group;
mod cells;
mod field;
mod figure;
mod gradient;
mod page;
mod practice;
mod run;
mod unlike;

use std::fs;
use std::path::PathBuf;

fn main() {
    // `cargo test --benches` runs every bench once: then only a glimpse is wanted.
    let glimpse = std::env::args().any(|a| a == "--test");
    let setting = |name: &str| std::env::var(name).ok().and_then(|v| v.parse::<u64>().ok());
    let trials = setting("HALFGREEN_TRIALS").unwrap_or(if glimpse { 20 } else { 10_000 });
    let here = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("benches/calibration");
    let write = |name: &str, text: String| fs::write(here.join(name), text).unwrap();
    let by_group = || by_group::page(trials.div_ceil(5), setting("HALFGREEN_SEED"));
    if setting("HALFGREEN_BY_GROUP").is_some() {
        return write("BY_GROUP.md", by_group());
    }
    if setting("HALFGREEN_UNLIKE").is_some() {
        return write("UNLIKE.md", unlike::page(trials));
    }
    if setting("HALFGREEN_GRADIENT").is_some() {
        return write("GRADIENT.md", gradient::page(trials));
    }
    let kept = if glimpse {
        String::new()
    } else {
        fs::read_to_string(here.join("cells.csv")).unwrap_or_default()
    };
    let cells: Vec<cells::Cell> = cells::all()
        .into_iter()
        .step_by(if glimpse { 200 } else { 1 })
        .take(setting("HALFGREEN_CELLS").map_or(usize::MAX, |n| usize::try_from(n).unwrap()))
        .collect();
    let mut outcomes = Vec::with_capacity(cells.len());
    for (done, cell) in cells.iter().enumerate() {
        let before = kept
            .lines()
            .find(|l| l.starts_with(&page::key(cell, trials)));
        outcomes.push(before.map_or_else(|| run::run(cell, trials), |line| page::read(cell, line)));
        if before.is_none() && !glimpse {
            eprintln!("{} of {} cells", done + 1, cells.len());
            fs::write(here.join("cells.csv"), page::csv(&outcomes)).unwrap();
        }
    }
    if glimpse {
        return;
    }
    write("CALIBRATION.md", page::markdown(&outcomes, trials));
    write("calibration.svg", figure::draw(&outcomes));
    if setting("HALFGREEN_CELLS").is_some() {
        return;
    }
    write("BY_GROUP.md", by_group());
    write("GRADIENT.md", gradient::page(trials));
    write("UNLIKE.md", unlike::page(trials));
}
