//! Sheets that break a rule, sheets that nearly do, and tables of every kind.

mod events;
mod large;
mod merging;
mod outliers;
mod rules;
mod tables;
mod wild;
mod workbooks;

use halfgreen::design::{Layout, Protocol, read_layout, read_protocol};
use halfgreen::intake::{Check, check_counts};

use crate::scratch::{LAYOUT, PROTOCOL};

fn protocol() -> Protocol {
    read_protocol("trial.toml", PROTOCOL).unwrap().protocol
}

fn layout() -> Layout {
    read_layout("layout.csv", LAYOUT, &[]).unwrap()
}

fn check(text: &str) -> Check {
    check_counts("counts.csv", text, &protocol(), &layout())
}
