//! From checked counts to a verdict.

pub mod describe;
mod histogram;
mod meanings;
mod rows;

pub use histogram::{Bar, histogram};
pub use rows::{DescribedColumns, read_rows};
