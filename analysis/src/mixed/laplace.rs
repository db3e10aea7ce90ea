//! Several random terms at once, by Laplace's approximation.
