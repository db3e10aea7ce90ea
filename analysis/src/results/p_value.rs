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
