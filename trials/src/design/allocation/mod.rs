//! The draw: treatments to plots by lot, how many draws there are, and which are allowed.
//!
//! # How to re-draw a layout by hand or in another language
//! Take the generator of the seal (`chacha8-v1`, see
//! [`Generator`](halfgreen_analysis::random::Generator)) with the seed and stream 0, and the
//! treatments in the order of `trial.toml`, the control repeated where it has more plots.
//!
//! 1. *Completely randomised*: write the list of treatments, each as often as it has plots (all
//!    plots of the first, then all of the second, ...), [`shuffle`](halfgreen_analysis::random::shuffle)
//!    it; its first entry goes to plot 1, the second to plot 2, and so on.
//! 2. *Randomised blocks, pairs*: the same within block 1, then block 2, ... with one generator.
//! 3. *Split plot*: in each block shuffle the kinds of whole plot over the whole plots; then in each
//!    whole plot, in order, shuffle its treatments over its plots.
//! 4. *Latin square, crossover*: see [`squares`]; a crossover balanced for carry-over: see [`carry_over`].
//!
//! Where rules are set, a draw that breaks one is thrown away whole and the next is taken from the
//! same generator: every allowed allocation stays equally likely.

mod attainable;
pub mod carry_over;
mod combinations;
mod counting;
mod draw;
mod listing;
mod randomisation;
mod scheme;
mod shuffled;
mod split;
mod square;
pub mod squares;
mod under_rules;

pub use attainable::{AttainableP, Staying, attainable_p, attainable_p_of_each};
pub use carry_over::CarryOver;
pub use counting::allocations;
pub use draw::{Sampler, draw};
pub use listing::each_allowed;
pub use randomisation::{BlockSampler, Randomisation};
pub use scheme::{Scheme, allowed};
pub use shuffled::Shuffled;
pub use split::Split;
pub use square::Square;
pub use under_rules::attainable_p_under;
