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
//! same generator: every allowed allocation stays equally likely. The randomisation test draws from the same
//! set, thousands of times, and where balance is the only rule without throwing most draws away: [`BalancedSampler`].
//!
//! # Balance along a gradient
//! Blocks take up what differs between them, but not a change across each of them, say from the wet side to the dry.
//! Three pairs, drawn freely, put every plot of a method on one side in one draw of four, and the change then looks
//! like the method's work. The rule [`BalancedAlongGradient`](super::Rule::BalancedAlongGradient) keeps the draws in
//! which each treatment stands, on the whole, in the middle of its blocks: number the places of a block along the
//! direction in question 0, 1, 2, ... (places equally far along share a number), subtract the block's mean, and add up
//! over the plots of a treatment: for no treatment may the sum lie further off 0 than half the length of a block, or,
//! where that is more, a whole step. Of pairs half have the method first, or with an odd number one more or one fewer.
//!
//! Restricted randomisation of this sort is due to Yates and Youden (Bailey 1987, *JASA* 82, 712-719; Youden 1972,
//! *Technometrics* 14, 13-22, and Bailey & Rowley 1987, *Proc. R. Soc. Lond. A* 410, 105-124, from memory); as
//! constraint on the set of allocations from which one is drawn evenly, to Moulton (2004, *Clinical Trials* 1,
//! 297-305, from memory). The randomisation test must draw from the same set (Simon 1979, *Biometrics* 35, 503-512, from
//! memory), and does. An analysis of variance that leaves the gradient in its error is then too careful, not too bold
//! (Kahan & Morris 2012, *Statistics in Medicine* 31, 328-340): the calibration bench says by how much.

mod attainable;
mod balanced;
mod balanced_draws;
pub mod carry_over;
mod combinations;
mod counting;
mod draw;
mod listing;
mod positions;
mod randomisation;
mod scheme;
mod shuffled;
mod split;
mod square;
pub mod squares;
mod under_rules;

pub use attainable::{AttainableP, Staying, attainable_p, attainable_p_of_each};
pub use balanced_draws::BalancedSampler;
pub use carry_over::CarryOver;
pub use counting::allocations;
pub use draw::{Sampler, draw};
pub use listing::each_allowed;
pub use positions::{Direction, Positions};
pub use randomisation::{BlockSampler, Randomisation};
pub use scheme::{Scheme, allowed};
pub use shuffled::Shuffled;
pub use split::Split;
pub use square::Square;
pub use under_rules::{attainable_p_among, attainable_p_under};
