//! The order: what to buy, what to cut, what to lay first.
//!
//! *Question.* Which rolls cover this ground at least cost, with what is in the shed used first?
//!
//! *In.* [`Patch`]es of ground, [`Sort`]s of roll, the bearing of the wind. *Out.* A [`SheetOrder`].
//!
//! *Method.* Sorts of one width, lap and margin make one material: its strips may come from rolls of any of its lengths.
//! Each patch is laid with one material, because neighbours of one width lap straight; different patches may have
//! different ones. Materials, and the best [`DIRECTIONS`] of each patch, are chosen by the cost of whole rolls: from the
//! best single material and from the cheapest sheet for each patch, one patch after another is changed as long as that
//! costs less. Strips are then [cut](super::rolls) from rolls of the shed and new ones.
//!
//! *Assumes* that sheet in the shed lies on whole rolls of its sort and one rest: what is known of it is square metres.

mod assembly;
mod choice;
mod patch;
mod shed;
mod sheet_order;
mod sort;

pub use choice::{DIRECTIONS, order};
pub use patch::{Fixed, Patch, Way};
pub use sheet_order::{LaidPatch, OrderedRoll, OrderedStrip, Purchase, SheetOrder};
pub use sort::Sort;
