//! How many plots, how many cores.
