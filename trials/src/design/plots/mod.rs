//! Where plots fit: rectangles with guard strips, inside the outline and clear of holes.
//!
//! *In.* A checked [`Outline`](crate::area::Outline) and a [`Request`]: plot and guard sizes,
//! how many blocks of how many plots. *Out.* [`Site`]s in walking order. Every plot stands in a
//! tile of (length + 2 guards) by (width + 2 guards) metres of its own; tiles neither overlap nor
//! leave the green nor touch a hole, so two neighbours stand two guards apart. Guards matter:
//! larvae walk in from the surrounding turf and from the plot next door, and a guard keeps a
//! neighbour's treatment out of the count.
//!
//! *Method.* For a direction and a start, rows of tiles are laid across the green. The stretches of
//! a row that no edge enters are found exactly, from the edges' shadows on the row, so a tile fits
//! if and only if it lies in such a stretch. Directions (the axes first), starts and shapes of
//! block are searched; of those that hold the asked number the one with the most compact blocks
//! wins, then the one lying deepest inside the green. The search is exhaustive over its
//! grid of starts, not over all starts: a very tight fit may be missed by up to a sixteenth of a tile.

mod candidate;
mod chain;
mod pack;
mod region;
mod request;
mod search;
mod too_tight;
mod walk;

pub(super) use request::LEAST_SIDE;
pub use request::{Placement, Request, Shape, Site};
pub use search::{place, room};
pub(super) use too_tight::{halved, round_down};
