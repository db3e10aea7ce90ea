//! Blocks and plots as random effects: counts on a sample of ground.
