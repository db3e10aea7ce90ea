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

/// Refuses anything but a number above 0 (infinity allowed where `infinite` says so).
pub(crate) fn above_zero(what: &str, value: f64, infinite: bool) -> Result<(), Error> {
    if value > 0.0 && (infinite || value.is_finite()) {
        return Ok(());
    }
    Err(Error::new(
        what,
        format!("{value}"),
        format!("{what} must be a number above 0"),
        "give a value above 0",
    ))
}

/// Refuses anything but a number strictly between 0 and 1.
pub(crate) fn open_share(what: &str, value: f64) -> Result<(), Error> {
    if value > 0.0 && value < 1.0 {
        return Ok(());
    }
    Err(Error::new(
        what,
        format!("{value}"),
        format!("{what} must lie strictly between 0 and 1"),
        "give a share such as 0.05 or 0.8",
    ))
}
