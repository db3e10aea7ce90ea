//! What people must know of a night, and what was not told.

use serde::Serialize;

/// Something to know, with a code for programs.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Note {
    /// Code.
    pub code: &'static str,
    /// A sentence or two.
    pub message: String,
}

impl Note {
    pub(crate) fn new(code: &'static str, message: impl Into<String>) -> Self {
        Self {
            code,
            message: message.into(),
        }
    }
}
