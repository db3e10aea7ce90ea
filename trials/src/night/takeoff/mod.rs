//! Taking off: which strips of a roll cover a piece of ground.
//!
//! *Question.* How many strips, how long, which way, and how much sheet is that?
//!
//! *In.* A polygon in metres, a [`RollSize`], a [`Laying`], and whether sheet may lie over [`Holes`]. *Out.* A
//! [`TakeOff`]: strips with places, lengths to cut, square metres of sheet.
//!
//! *Method.* The ground is widened by the edge margin. Lanes as wide as the roll lie side by side at one pitch, the
//! width less the lap, so that each laps over the next by the lap exactly. In each lane the ground's reach along the
//! lane is found exactly, from the pieces of edge within the lane; a strip covers that reach. What stands free between
//! two reaches, in a bay of the edge or at a hole, is left bare where it is [`LEAST_GAP_M`] long or longer. A reach
//! that is longer than a roll is covered by pieces that lap end to end by the same lap. Lengths are cut to the next
//! tenth of a metre.
//!
//! *Searched.* The directions of all edges of the convex hull (the longest [`HULL_EDGES`] of them), every whole degree,
//! and tenths of a degree about the best; for each, five places of the first lane within the width to spare. The least
//! sheet wins, each strip counted as a metre longer, because a strip more is cut, carried and lapped; then the fewest pieces,
//! the place that shares the spare width evenly, the smallest angle. It is the best of those searched, not of all that there
//! are.
//!
//! *Assumes* flat ground and lanes that are straight and parallel; every lane is as wide as the roll.
//!
//! *Do not use* for several pieces of ground with bare ground between them that must stay bare: take each off by itself.

mod cut;
mod directions;
mod ground;
mod lanes;
mod layout;
mod roll;
mod strip;

pub use directions::HULL_EDGES;
pub use ground::Holes;
pub use lanes::LEAST_GAP_M;
pub(super) use layout::joined;
pub use layout::{Laying, take_off, take_offs};
pub use roll::RollSize;
pub use strip::{Strip, TakeOff, rectangle};
