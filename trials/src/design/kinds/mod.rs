//! The kinds of design, one file each: all that sets one kind apart from another is said there and nowhere else.
//!
//! *To add a kind*, write its file with a type that is a [`Kind`] and name both in the list below. Whatever
//! must be known of a kind is asked by a method or a value of [`Facts`] without a default, so that the
//! compiler names what the new file forgets. No other file asks *which* kind it has before it, only what the
//! kind is like.

mod advice;
mod asked;
mod facts;

use std::fmt::Debug;
use std::sync::Arc;

use serde::{Serialize, Serializer};

use super::allocation::Randomisation;
use super::plots::Shape;
use crate::Error;

pub use advice::Advice;
pub use asked::Asked;
pub use facts::{BlockStructure, Facts, Labels, Position, Units};

/// A kind of design.
pub trait Kind: Debug + Send + Sync {
    /// What the kind is, in words and yes or no.
    fn facts(&self) -> Facts;

    /// How treatments are randomised over the units of a block, which are those of [`Facts::units`].
    fn randomisation(&self, asked: &Asked<'_>) -> Arc<dyn Randomisation>;

    /// How the plots of a block stand to each other on the ground.
    fn shape(&self, asked: &Asked<'_>) -> Shape;

    /// How many such shapes are laid out.
    fn shapes(&self, asked: &Asked<'_>) -> usize;

    /// Plots of each method in a block.
    fn plots_of_each(&self, asked: &Asked<'_>) -> usize;

    /// What `layout.csv` says of where a plot stands.
    fn labels(&self, at: &Position) -> Labels;

    /// Refuses a number of treatments that the kind cannot compare.
    ///
    /// # Errors
    /// What is amiss and what would do.
    fn takes(&self, treatments: usize) -> Result<(), Error>;

    /// Refuses an arrangement that does not suit the kind.
    ///
    /// # Errors
    /// What is amiss and what would do.
    fn suits(&self, asked: &Asked<'_>) -> Result<(), Error>;

    /// What should be thought about before a spade goes in, whatever the numbers say.
    fn advise(&self, asked: &Asked<'_>) -> Option<Advice>;
}

/// A kind of design, as protocols hold it.
pub type DesignKind = &'static dyn Kind;

impl PartialEq for dyn Kind {
    fn eq(&self, other: &Self) -> bool {
        self.facts().key == other.facts().key
    }
}

impl Eq for dyn Kind {}

impl Serialize for dyn Kind {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(self.facts().key)
    }
}

/// Declares the files of the kinds and lists the kinds. `cargo fmt` does not look into it: `.ci/run` formats
/// those files by name.
macro_rules! kinds {
    ($($file:ident::$kind:ident,)+) => {
        $(mod $file;)+
        $(pub use $file::$kind;)+

        /// Every kind of design, in the order in which they are offered.
        pub static KINDS: &[DesignKind] = &[$(&$kind),+];
    };
}

kinds! {
    completely_randomised::CompletelyRandomised,
    randomised_blocks::RandomisedBlocks,
    paired::Paired,
    latin_square::LatinSquare,
    split_plot::SplitPlot,
    crossover::Crossover,
}

/// Place of faults that a kind finds in a protocol.
const PLACE: &str = "trial.toml [design]";

/// Whether a kind suits what is asked of it.
///
/// # Errors
/// Too few treatments, or what the kind itself refuses; what only other kinds can do.
pub(super) fn suits(kind: DesignKind, asked: &Asked<'_>) -> Result<(), Error> {
    let facts = kind.facts();
    let refuse = |what: &str, cure: &str| Err(Error::new(PLACE, what, cure));
    if asked.number() < 2 {
        return refuse(
            "there is only one treatment",
            "Name a control and at least one method.",
        );
    }
    if asked.control_plots() > 1 && !facts.more_control {
        return refuse(
            "this kind of design gives every treatment one plot in a block",
            "Use `randomised-blocks` or `completely-randomised` for more plots of the control.",
        );
    }
    if asked.arrangement.balance.is_some() && !facts.over_nights() {
        return refuse(
            "only a crossover has an order of treatments that could be balanced",
            "Take the setting `balance` out, or write kind = \"crossover\".",
        );
    }
    kind.takes(asked.number())?;
    kind.suits(asked)
}
