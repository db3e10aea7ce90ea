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

    /// The interval of a ratio that says what a test of no effect said: where `found` differs from
    /// what the limits say, the limit next to 1 is put at 1.
    #[must_use]
    pub fn consistent_with(self, found: bool, ratio: f64) -> Self {
        if found != self.contains(1.0) {
            self
        } else if ratio < 1.0 {
            Self {
                high: 1.0,
                low: self.low.min(1.0),
                ..self
            }
        } else {
            Self {
                low: 1.0,
                high: self.high.max(1.0),
                ..self
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_limit_moves_only_where_the_test_says_otherwise() {
        let of = |low, high| Interval {
            low,
            high,
            level: 0.95,
        };
        assert_eq!(of(0.3, 0.9).consistent_with(true, 0.5), of(0.3, 0.9));
        assert_eq!(of(0.3, 0.9).consistent_with(false, 0.5), of(0.3, 1.0));
        assert_eq!(of(0.3, 1.2).consistent_with(true, 0.5), of(0.3, 1.0));
        assert_eq!(of(0.9, 3.0).consistent_with(true, 2.0), of(1.0, 3.0));
        assert_eq!(of(0.9, 3.0).consistent_with(false, 2.0), of(0.9, 3.0));
    }
}
