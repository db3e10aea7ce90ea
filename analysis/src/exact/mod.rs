//! Small-sample comparisons of two counts, by counting every case.
//!
//! **Question.** Two totals, from areas known: what do they allow to be said without appeal to large
//! samples?
//!
//! **In.** Whole counts and, for rates, the area (or number of samples) behind each. **Back.** Limits, ratios
//! with intervals, p-values.
//!
//! | question | function |
//! |---|---|
//! | what rate could have given this count? | [`poisson_limits`] |
//! | what share could have given this number out of so many? | [`binomial_limits`] |
//! | and if the animals lay together in plots? | [`clustered_limits`] |
//! | do two Poisson totals differ? | [`compare_poisson`]: conditional test, mid-p, score test |
//! | the same with a little more power | [`e_test`] |
//! | do two groups of overdispersed counts differ? | [`compare_negative_binomial`]: conditional on the total, for a given k |
//!
//! **Not for** trials with blocks or with several plots an arm whose counts are overdispersed: Poisson methods
//! treat every animal as independent, so that a single cluster passes for evidence. Use them for one count against
//! one count, and say that no test of a method is possible from one pair of plots.
//!
//! **Sources** stand with each function.

mod binomial;
mod negative_binomial;
mod e_test;
mod limits;
mod poisson;
mod two_sided;

pub use binomial::{binomial_limits, clustered_limits};
pub use e_test::e_test;
pub use limits::poisson_limits;
pub use negative_binomial::{NegativeBinomialComparison, compare_negative_binomial};
pub use poisson::{PoissonComparison, compare_poisson};
