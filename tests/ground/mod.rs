//! Outlines, places, draws and seals.

#![expect(clippy::unwrap_used, reason = "helpers of tests fail as tests do")]

mod draws;
mod grids;
mod outlines;
mod places;
mod seals;
mod trial;
