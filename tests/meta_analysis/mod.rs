//! Pooling of trials against printed values, against other software, and at its ends.

mod ends;
mod reference;

use halfgreen_analysis::meta_analysis::{Effect, PoolOptions, Pooled, pool};

/// An effect whose standard error is known.
fn known(estimate: f64, variance: f64) -> Effect {
    Effect {
        estimate,
        standard_error: variance.sqrt(),
        degrees_of_freedom: None,
    }
}

fn pooled(effects: &[Effect]) -> Pooled {
    pool(effects, &PoolOptions::default()).unwrap()
}
