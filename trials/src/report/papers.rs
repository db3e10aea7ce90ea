//! What every trial has beside its numbers, whether animals are counted in it or readings taken.

use super::WhatWasRead;
use crate::Warning;
use crate::design::{Difference, Green, Layout, Protocol, Reporting, Seal};
use crate::intake::Event;

/// The papers of a trial.
#[derive(Debug, Clone, Copy)]
pub struct Papers<'a> {
    /// What was asked.
    pub protocol: &'a Protocol,
    /// What people wrote for those who read the report.
    pub reporting: &'a Reporting,
    /// Where the plots lay and what they were drawn to get.
    pub layout: &'a Layout,
    /// The greens, one as a rule.
    pub greens: &'a [Green],
    /// The seal, where the trial was sealed.
    pub seal: Option<&'a Seal>,
    /// What is not as it was sealed.
    pub differences: &'a [Difference],
    /// What happened to the plots.
    pub events: &'a [Event],
    /// What the reader must know.
    pub warnings: &'a [Warning],
    /// Seed of sampled allocations.
    pub seed: u64,
    /// What of the trial's files was read.
    pub read: &'a [WhatWasRead],
}
