//! From a verdict to pages and figures.

mod frequencies;

pub use frequencies::frequencies;
