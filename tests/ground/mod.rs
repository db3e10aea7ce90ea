//! Outlines, places, draws and seals.

#![expect(clippy::unwrap_used, reason = "helpers of tests fail as tests do")]

mod designs;
mod draws;
mod greens;
mod grids;
mod kinds;
mod maps;
mod outlines;
mod places;
mod seals;
mod trial;
mod under_rules;
