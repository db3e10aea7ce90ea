//! Scores, cover and lengths beside counts.
