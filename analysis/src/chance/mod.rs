//! Chance is an argument: a seed goes in, draws come out, the same ones for ever.
//!
//! [`Generator`] and [`shuffle`] are pinned; [`laws`] holds tail areas and quantiles of the reference
//! distributions, [`negative_binomial`] the law of clumped counts by mean and k.

mod generator;
pub mod laws;
pub mod negative_binomial;
mod shuffle;

pub use generator::Generator;
pub use shuffle::shuffle;
