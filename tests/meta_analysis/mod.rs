//! Pooling of trials against printed values, against other software, and at its ends.

mod counts;
mod ends;
mod moderation;
mod network;
mod one_stage;
mod reference;

use halfgreen_analysis::meta_analysis::{Effect, PoolOptions, Pooled, pool};
use serde_json::Value;

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

/// The numbers of a list in an answer of other software.
fn numbers(value: &Value) -> Vec<f64> {
    let cells = value.as_array().unwrap();
    cells.iter().map(|v| v.as_f64().unwrap()).collect()
}
