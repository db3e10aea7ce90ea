//! Crossed factors: what the treatments are made of.

use std::collections::BTreeMap;

/// A factor of a trial whose treatments are all combinations of the factors' levels.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Factor {
    /// What it is called ("sheeting").
    pub name: String,
    /// Names of its levels, doing nothing first.
    pub levels: Vec<String>,
    /// Code of each level but the first. It is also the code of the treatment that has this level and no other.
    pub codes: Vec<String>,
    /// Level of each treatment, by the treatment's code.
    pub level_of: BTreeMap<String, usize>,
}
