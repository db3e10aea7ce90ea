//! What sets one way of randomising a block apart from another.

use std::fmt::Debug;

use halfgreen_analysis::random::Generator;
use num_bigint::BigUint;

use super::attainable::Staying;
use crate::Error;

/// Draws of one block, ready to be made many times: each puts a treatment for every unit into the list, whatever that held.
pub type BlockSampler<'a> = Box<dyn Fn(&mut Generator, &mut Vec<usize>) + Send + Sync + 'a>;

/// How treatments are randomised over the units of a block. Every block is randomised alike and by itself.
/// Treatments are numbered from 0 in the order of the protocol.
pub trait Randomisation: Debug + Send + Sync {
    /// Units of a block.
    fn units(&self) -> usize;

    /// Number of allocations of a block.
    ///
    /// # Errors
    /// A block too large for its number to be known.
    fn number(&self) -> Result<BigUint, Error>;

    /// Prepares draws of a block.
    ///
    /// # Errors
    /// A block that cannot be drawn.
    fn sampler(&self) -> Result<BlockSampler<'_>, Error>;

    /// Every allocation of a block, each once; asked only where [`number`](Self::number) is small.
    fn each(&self) -> Vec<Vec<usize>>;

    /// The lists of treatments that are shuffled among themselves and each within itself, where the draw is
    /// nothing else; `None` where it is bound otherwise.
    fn shuffles(&self) -> Option<Vec<Vec<usize>>>;

    /// Whether any two units of a block may exchange their treatments, so that the randomisation test needs no
    /// more than the blocks to draw anew.
    fn exchangeable(&self) -> bool;

    /// How often, among the allocations of a block, a treatment and the control lie on given units: those of a layout
    /// of the design.
    ///
    /// # Errors
    /// As [`number`](Self::number).
    fn staying(&self, treatment: usize, control: usize) -> Result<Staying, Error>;

    /// Residual degrees of freedom of the analysis of variance that the design implies, with so many blocks.
    fn residual_df(&self, blocks: usize) -> usize;
}
