//! Generalised linear models for counts: Poisson and negative binomial.
