//! Outlines, places, draws and seals.

#![expect(clippy::unwrap_used, reason = "helpers of tests fail as tests do")]

mod attainable;
mod balanced_sampler;
mod designs;
mod draws;
mod formats;
mod gradients;
mod greens;
mod grids;
mod holes_and_zones;
mod kinds;
mod maps;
mod outlines;
mod places;
mod seals;
pub(crate) mod trial;
mod under_rules;
