//! Many comparisons with one control, one error rate.
//!
//! **Question.** Several methods share one control. Which of them differ from it, when the chance of
//! even one false claim among them all must stay at the stated level?
//!
//! **In.** One t statistic a contrast (estimate over its standard error, no unit), the residual degrees
//! of freedom (infinite for a normal reference) and how the contrasts hang together. For contrasts
//! with one control on a common variance the correlation of contrasts i and j is `lambda[i] * lambda[j]`
//! with `lambda[i]` = sqrt(`n_i` / (`n_i` + `n_0`)), `n_i` and `n_0` being the replicates of treatment and control: see
//! [`lambda_from_replication`]. Any other correlation goes through [`multivariate_t`].
//!
//! **Back.** Adjusted p-values, or the critical value that makes intervals simultaneous.
//!
//! | want | take |
//! |---|---|
//! | p-values that go with simultaneous intervals | [`dunnett::p_values`] |
//! | intervals | [`dunnett::critical_value`] |
//! | more power, no intervals | [`dunnett::step_down`] |
//! | a correlation that no `lambda` can express | [`multivariate_t::sf`] |
//! | p-values whose joint law is unknown | [`holm`] |
//! | many places at once, some false claims among true ones tolerable | [`false_discovery`] |
//!
//! **Assumes** that the statistics are jointly multivariate t. With few overdispersed counts a t statistic
//! on the log scale is so only roughly; the randomisation maximum does without the assumption.
//!
//! **Sources.** C. W. Dunnett 1955, J. Am. Stat. Assoc. 50, 1096-1121, and 1964, Biometrics 20, 482-491;
//! step-down: Dunnett & Tamhane 1991, Statistics in Medicine 10, 939-947; S. Holm 1979, Scand. J. Statist. 6,
//! 65-70; Genz & Bretz 1999, J. Statist. Comput. Simul. 63, 361-378.

mod correlation;
pub mod dunnett;
mod false_discovery;
mod holm;
mod max_t;
pub mod multivariate_t;
mod chi;
mod alternative;

pub use alternative::Alternative;
pub use correlation::{lambda_from_correlation, lambda_from_replication};
pub use false_discovery::false_discovery;
pub(crate) use false_discovery::false_discovery_among;
pub use holm::holm;
