//! Chance is an argument: a seed goes in, draws come out, the same ones for ever.

mod generator;
mod shuffle;

pub use generator::Generator;
pub use shuffle::shuffle;
