//! Two limits and the confidence they are stated for.

use serde::Serialize;

/// A confidence interval. A limit may be infinite, or 0 for a ratio that the data do not bound below.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Interval {
    /// Lower limit.
    pub low: f64,
    /// Upper limit.
    pub high: f64,
    /// Confidence level, between 0 and 1.
    pub level: f64,
}

impl Interval {
    /// Whether `value` lies inside, limits included.
    #[must_use]
    pub fn contains(&self, value: f64) -> bool {
        self.low <= value && value <= self.high
    }
}
