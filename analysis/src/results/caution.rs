//! Findings that are not failures: boundary, separation, too few blocks.

use serde::Serialize;

/// Something the reader of a result must know, although the result stands.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Caution {
    /// A short fixed name, for programs (`"k-at-poisson-limit"`).
    pub code: &'static str,
    /// One plain sentence, for people.
    pub message: String,
}

impl Caution {
    /// A caution with its code and sentence.
    pub fn new(code: &'static str, message: impl Into<String>) -> Self {
        Self {
            code,
            message: message.into(),
        }
    }
}
