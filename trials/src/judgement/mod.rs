//! From checked counts to a verdict.
