//! Dispersion: how overdispersed (aggregated) are the counts?
//!
//! **Question.** Counts vary more than Poisson counts would. How much, by which measure, and which distribution
//! describes them well enough to plan and judge by?
//!
//! **In.** A [`FrequencyTable`]: whole counts, each from a unit of the same area (no unit; divide by area yourself),
//! singly or as a table of frequencies. Relations over several places take one table a place.
//!
//! **Back.**
//!
//! | question | function | measure |
//! |---|---|---|
//! | more variable than chance alone? | [`index_of_dispersion`] | (n - 1) s^2 / m against chi-squared |
//! | how overdispersed, by the negative binomial's k? | [`negative_binomial_k`] | k by moments and by maximum likelihood |
//! | how crowded is the average individual? | [`crowding`] | Lloyd's mean crowding and patchiness |
//! | how often do two share a unit? | [`morisita`] | Morisita's index with its test |
//! | which law fits? | [`goodness`] | pooled chi-squared for Poisson and negative binomial |
//! | how sure is a mean of clumped counts? | [`mean_interval`], [`mean_interval_known_k`] | Student's t on the log scale, variance of the negative binomial |
//! | how does variance grow with the mean? | [`taylor`], [`iwao`] | power law, patchiness regression |
//! | one k for several places? | [`common_k`], [`common_k_test`] | moments (Bliss & Owen) and maximum likelihood; likelihood ratio |
//!
//! **Assumes** units of one size, counted independently. **Not for** comparing treatments: the plot is
//! the unit there; nor for means too low to show overdispersion (a total of some ten or less says nothing on k).
//!
//! **Sources** stand with each function.

pub mod negative_binomial_k;
mod common;
mod goodness;
mod indices;
mod mean_interval;
mod variance_mean;
mod frequency_table;

pub use common::{CommonKTest, common_k, common_k_test, k_of_bliss_and_owen};
pub use frequency_table::FrequencyTable;
pub use goodness::{Class, Goodness, Pooling, goodness};
pub use indices::{Crowding, IndexOfDispersion, Morisita, crowding, index_of_dispersion, morisita};
pub use mean_interval::{mean_interval, mean_interval_known_k};
pub use negative_binomial_k::KEstimate;
pub use variance_mean::{VarianceMeanRelation, iwao, taylor};
