//! Generalised linear mixed models for counts: blocks and plots as random effects.
//!
//! **Question.** As for [`counts`](crate::counts), but blocks are random effects rather
//! than fixed ones: normal on the log scale with a standard deviation sigma.
//! A trial of few blocks then has few unknowns, and intervals can keep their promise.
//!
//! **In.** Counts, offsets and columns as for a plain fit (without the blocks), and for every plot the
//! block it lies in. **Out.** Coefficients, sigma, k and the log-likelihood.
//!
//! **Method.** [`block`] integrates each block's effect out by adaptive Gauss-Hermite quadrature
//! (Pinheiro & Bates 1995, Journal of Computational and Graphical Statistics 4:12-35; Liu & Pierce
//! 1994, Biometrika 81:624-629), and maximises by Newton's method with Louis' information (Louis 1982,
//! JRSS B 44:226-233). [`laplace`] treats several random terms at once by Laplace's approximation.
//!
//! **When not to use it.** One block holds no information on sigma: it comes out as 0.

pub mod block;
mod block_likelihood;
mod block_plots;
mod conditional_mode;
mod connected_components;
pub mod laplace;
mod laplace_derivatives;
mod marginal;
mod newton;

pub(crate) use connected_components::component_of;
pub use marginal::{EffectPosterior, MarginalFit};
