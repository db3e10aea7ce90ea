//! From checked counts to a verdict.

pub mod describe;
mod meanings;
