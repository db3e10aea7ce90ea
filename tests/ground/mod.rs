//! Outlines, places, draws and seals.

#![expect(clippy::unwrap_used, reason = "helpers of tests fail as tests do")]

mod designs;
mod draws;
mod greens;
mod grids;
mod maps;
mod outlines;
mod places;
mod seals;
pub(crate) mod trial;
mod under_rules;
