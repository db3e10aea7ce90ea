//! Pseudo-random numbers: a seed goes in, draws come out, the same ones in every release.
//!
//! [`Generator`] is the pinned generator (ChaCha8), [`shuffle`] the pinned random permutation.

mod generator;
mod shuffle;

pub use generator::Generator;
pub use shuffle::shuffle;
