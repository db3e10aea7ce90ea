//! What a design is told before a spade goes in.

use serde::Serialize;

/// One piece of advice.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Advice {
    /// A short fixed name, for programs.
    pub code: &'static str,
    /// What is amiss and what would mend it.
    pub message: String,
}
