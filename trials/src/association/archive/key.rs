//! What names a trial among many.

use std::fmt;

use serde::{Deserialize, Serialize};

/// A trial of a club in a season. The order is that of seasons, then clubs, then names, by code points.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub struct TrialKey {
    /// Year of the counts.
    pub season: i16,
    /// Whose it is.
    pub club: String,
    /// What it is called.
    pub trial: String,
}

impl fmt::Display for TrialKey {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(out, "{}, {}, {}", self.trial, self.club, self.season)
    }
}

impl From<&TrialKey> for TrialKey {
    fn from(key: &TrialKey) -> Self {
        key.clone()
    }
}
