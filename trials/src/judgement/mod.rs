//! From checked counts to a verdict.

pub mod describe;
mod meanings;
mod rows;

pub use rows::{DescribedColumns, read_rows};
