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
    /// Confidence level of the limits, for all methods together.
    pub confidence_level: f64,
    /// p of the primary test, adjusted for several methods.
    pub p: f64,
    /// p of the model for this method alone.
    pub p_model: f64,
    /// The same, adjusted for several methods.
    pub p_model_adjusted: f64,
    /// p of the randomisation test for this method alone; null where treatments were not drawn at random.
    pub p_randomisation: Option<f64>,
    /// The same, adjusted.
    pub p_randomisation_adjusted: Option<f64>,
    /// The smallest error rate of the whole page at which this is a finding; null where it is description only.
    pub p_on_page: Option<f64>,
    /// Whether it is a finding at the trial's error rate.
    pub finding: bool,
}

impl TestedRatio {
    /// Notes the p-value on the page.
    pub(super) fn on_page(&mut self, p: f64, alpha: f64) {
        self.p_on_page = Some(p);
        self.finding = p <= alpha;
    }
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
