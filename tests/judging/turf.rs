//! Scores, cover and lengths.
