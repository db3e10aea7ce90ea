//! Cutting stock: which strip is cut from which roll.
//!
//! *Question.* Which whole rolls are bought, and which strips come out of each, so that the rolls cost least?
//!
//! *In.* Lengths of strips of one width; rolls in the shed, which cost nothing; rolls on sale with their prices; all
//! lengths whole millimetres. *Out.* A [`Cutting`]: for each roll the strips in cutting order and the rest; what the rolls
//! cost, and below which cost no cutting can be.
//!
//! *Method.* A good cutting is made roll by roll, each filled as fully as its strips allow (best fit, and the fullest
//! sum of lengths: Gupta and Ho 1999, *Prod. Plan. Control* 10, 598-603). Bounds come from weights put on the strips: no
//! roll holds more weight than the knapsack of its length, so that the rolls needed follow from the sum (dual feasible
//! functions: Fekete and Schepers 2001, *Math. Program.* 91, 11-31; Martello and Toth 1990, *Knapsack Problems*, ch. 8).
//! Where cost and bound differ, a branch and bound completes roll after roll around the longest strip left, with dominated
//! contents left out (bin completion: Korf 2002, *AAAI*, 731-736). It is complete, so its best is proven, unless it would
//! take more than [`MOST_STEPS`] steps; then bound and gap are told. References are from memory.
//!
//! *Assumes* straight cuts across the roll, without loss; strips are not turned and not cut along.

mod bound;
mod cutting;
mod fill;
mod greedy;
mod problem;
mod search;

pub use cutting::{Cut, Cutting, From, cut, quickly_cut};
pub use problem::{Problem, Sale};
pub use search::MOST_STEPS;
