//! A p-value that knows how it was obtained.

use serde::Serialize;

/// How a p-value came about.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Origin {
    /// Every case was counted.
    Exact,
    /// From a reference distribution that holds approximately.
    Reference,
    /// From a seeded sample of this many draws, as (b + 1) / (m + 1).
    Sampled(u64),
}

/// A p-value with its origin.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct PValue {
    /// The p-value, in `[0, 1]`.
    pub value: f64,
    /// How it was obtained.
    pub origin: Origin,
}

impl PValue {
    /// Standard error of a p-value for being known from draws only: the root of p (1 - p) / m; `None` where nothing was
    /// drawn.
    #[must_use]
    pub fn monte_carlo_se(&self) -> Option<f64> {
        match self.origin {
            Origin::Sampled(draws) if draws > 0 => {
                Some((self.value * (1.0 - self.value) / draws as f64).sqrt())
            }
            Origin::Sampled(_) | Origin::Exact | Origin::Reference => None,
        }
    }
}
