//! Distributions of the reference statistics and of counts.
//!
//! | distribution | survival function | quantile |
//! |---|---|---|
//! | standard normal | [`normal_sf`] | [`normal_quantile`] |
//! | Student's t | [`t_sf`] | [`t_quantile`] |
//! | chi-squared | [`chi_squared_sf`] | [`chi_squared_quantile`] |
//! | F | [`f_sf`] | [`f_quantile`] |
//!
//! [`negative_binomial`] holds the log probability mass function, the cumulative distribution function and
//! draws of the negative binomial by mean and k (NB2), the Poisson distribution at infinite k.

mod continuous;
pub mod negative_binomial;

pub use continuous::{
    chi_squared_quantile, chi_squared_sf, f_quantile, f_sf, normal_quantile, normal_sf, t_quantile,
    t_sf,
};
