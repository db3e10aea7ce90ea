//! Blocks and plots as random effects: counts on a sample of ground.
//!
//! **Question.** As for [`counts`](crate::counts), but blocks are taken as a sample of ground rather
//! than as so many unknown constants: their logs scatter normally with a standard deviation sigma.
//! A trial of few blocks then has few unknowns, and intervals can keep their promise.
//!
//! **In.** Counts, offsets and columns as for a plain fit (without the blocks), and for every plot the
//! block it lies in. **Out.** Coefficients, sigma, k and the log-likelihood.
//!
//! **Method.** [`block`] integrates each block's effect out by adaptive Gauss-Hermite quadrature
//! (Pinheiro & Bates 1995, Journal of Computational and Graphical Statistics 4:12-35; Liu & Pierce
//! 1994, Biometrika 81:624-629), and climbs by Newton's method with Louis' information (Louis 1982,
//! JRSS B 44:226-233). [`laplace`] treats several random terms at once by Laplace's approximation.
//!
//! **When not to use it.** One block holds no information on sigma: it comes out as 0.

pub mod block;
mod block_likelihood;
mod block_plots;
mod newton;
pub mod laplace;
mod marginal;
mod connected_components;
mod surface;

pub use marginal::{EffectPosterior, MarginalFit};
