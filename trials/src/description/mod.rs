//! How many, and how clumped: a table of counts described without comparing anything.
//!
//! *In.* A table and its columns ([`read_rows`]). *Out.* [`Description`]: indices of dispersion, k, goodness of
//! fit, variance-mean relations, each with its meaning in a sentence; a [`histogram`] for the eye.

mod density;
mod describe;
mod findings;
mod histogram;
mod meanings;
mod rows;

pub use density::per_m2;
pub use describe::{Row, describe};
pub use findings::{Description, Fits, Likelihood, Patchiness, Place, PowerLaw};
pub use histogram::{Bar, histogram};
pub use rows::{DescribedColumns, read_rows};
