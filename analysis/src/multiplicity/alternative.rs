//! The alternative hypothesis: two-sided or one-sided.

use serde::Serialize;

/// The side on which a departure counts as evidence.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Alternative {
    /// Either way: the absolute value of t.
    TwoSided,
    /// Only statistics above zero: "more than the control".
    Greater,
    /// Only statistics below zero: "fewer than the control".
    Less,
}

impl Alternative {
    /// The statistic whose large values are evidence: |t|, t or -t.
    #[must_use]
    pub fn evidence(self, t: f64) -> f64 {
        match self {
            Self::TwoSided => t.abs(),
            Self::Greater => t,
            Self::Less => -t,
        }
    }
}
