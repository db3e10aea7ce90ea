//! A ratio to the control with its limits, and its p by both tests.

use halfgreen_analysis::comparison::PrimaryTest;
use serde::Serialize;

/// A ratio to the control, or of two such ratios, with its tests.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct TestedRatio {
    /// The ratio; null where it is infinite or not defined.
    pub ratio: Option<f64>,
    /// Lower limit; null where there is none.
    pub low: Option<f64>,
    /// Upper limit; null where there is none.
    pub high: Option<f64>,
    /// p of the primary test.
    pub p: f64,
    /// p of the model.
    pub p_model: f64,
    /// p of the randomisation test; null where treatments were not drawn at random.
    pub p_randomisation: Option<f64>,
}

/// p of the primary test.
pub(super) fn primary_p(primary_test: PrimaryTest, model: f64, randomisation: Option<f64>) -> f64 {
    match (primary_test, randomisation) {
        (PrimaryTest::Randomisation, Some(p)) => p,
        _ => model,
    }
}

/// A value that JSON can hold.
pub(super) fn finite(x: f64) -> Option<f64> {
    x.is_finite().then_some(x)
}
