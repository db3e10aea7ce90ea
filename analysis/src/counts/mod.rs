//! Generalised linear models for counts: Poisson and negative binomial.
//!
//! **Question.** How does the mean count depend on treatment, once block, sampled area and the count
//! before treatment are allowed for?
//!
//! **In.** One count for each plot; factors and covariates as a [`ModelMatrix`]; the log of the
//! sampled area or number of samples as offset. **Out.** A [`Fit`]: coefficients on the log scale with
//! standard errors, log-likelihood, deviance, k, and how the iteration ended.
//!
//! **Model.** log(mean of plot i) = offset + the sum of its terms; variance = mean + mean^2 / k
//! (negative binomial, NB2) or = mean (Poisson, k infinite). All by maximum likelihood.
//!
//! **When not to use it.** With few plots, tests and intervals from these fits claim too much:
//! the verdict comes from [`comparison`](crate::comparison). These fits are the plain maximum
//! likelihood that anyone can recompute.
//!
//! **Sources.** P. McCullagh & J. A. Nelder, "Generalized Linear Models", 2nd ed. 1989, ch. 6; Lawless 1987,
//! Canadian Journal of Statistics 15:209-225 (negative binomial regression).

mod covariance;
mod fit;
pub(crate) mod kernel;
mod model_matrix;
mod newton;
mod score;

pub use covariance::Covariance;
pub use fit::{Coefficient, Family, Fit, LikelihoodRatio, fit, likelihood_ratio, means_at};
pub(crate) use kernel::Kernel;
pub use model_matrix::{Factor, ModelMatrix, ModelMatrixBuilder};
pub(crate) use newton::starting_values;
pub use score::score_test;
