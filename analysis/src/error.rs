//! Unusable input: what it was, what was found, what would be accepted, what to do next.

/// An input that a method cannot use. Findings about usable data are never errors: they come back
/// as [`Caution`](crate::results::Caution)s inside the result.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{what}: found {found}, but {accepted}; {next}")]
pub struct Error {
    /// The quantity at fault, in the words of the method ("counts", "treatment labels", "k").
    pub what: String,
    /// What was found there.
    pub found: String,
    /// What would have been accepted, as a clause ("counts must be whole numbers from 0").
    pub accepted: String,
    /// What the caller can do about it.
    pub next: String,
}

impl Error {
    /// Builds an error from its four parts.
    pub fn new(
        what: impl Into<String>,
        found: impl Into<String>,
        accepted: impl Into<String>,
        next: impl Into<String>,
    ) -> Self {
        Self {
            what: what.into(),
            found: found.into(),
            accepted: accepted.into(),
            next: next.into(),
        }
    }
}
