//! Names of an archive's files that are read without knowing more of it.

/// What was taken in.
pub const LEDGER: &str = "ledger.jsonl";
/// The effects of all trials.
pub const ARCHIVED_EFFECTS: &str = "effects/effects.csv";
/// What no answer could be had from.
pub const ARCHIVED_LEFT_OUT: &str = "effects/left-out.csv";
