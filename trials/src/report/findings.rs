//! All that a report tells of.

use super::papers::Papers;
use crate::Warning;
use crate::design::{Difference, Green, Layout, Protocol, Reporting, Seal};
use crate::intake::{CheckedCounts, Event};
use crate::judgement::Judgement;
use crate::mapping::TrialGround;
use crate::trial_data::{PlotCount, TrialData};

/// A judged trial with everything round it.
#[derive(Debug, Clone, Copy)]
pub struct Findings<'a> {
    /// What was asked.
    pub protocol: &'a Protocol,
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
    /// What people wrote for those who read the report.
    pub reporting: &'a Reporting,
    /// The counts as they were read.
    pub counts: &'a CheckedCounts,
    /// The plots as they were compared.
    pub data: &'a TrialData,
    /// The judgement.
    pub judgement: &'a Judgement,
    /// What the reader must know.
    pub warnings: &'a [Warning],
    /// Seed of sampled allocations.
    pub seed: u64,
    /// Where larvae lay thick or thin, green by green.
    pub ground: &'a [TrialGround],
    /// What next season needs.
    pub next: &'a NextSeason,
    /// What a night of the method over whole greens takes, where that is known.
    pub night: Option<&'a NightCost>,
    /// What of the trial's files was read.
    pub read: &'a [WhatWasRead],
}

/// What of a file was read, and what was not.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct WhatWasRead {
    /// Name of the file.
    pub file: String,
    /// Settings or columns by which the judgement or another command goes.
    pub read: Vec<String>,
    /// Those by which nothing goes.
    pub unread: Vec<String>,
    /// SHA-256 of the file, in hexadecimal.
    pub digest: String,
}

/// What a night under sheet takes on all of the greens.
#[derive(Debug, Clone, PartialEq)]
pub struct NightCost {
    /// How many greens.
    pub greens: usize,
    /// The methods that it is about; empty where all of them are sheet.
    pub names: Vec<String>,
    /// Their area, square metres.
    pub area_m2: f64,
    /// Sheet cut for them, square metres.
    pub sheet_m2: f64,
    /// Rolls to buy.
    pub to_buy: usize,
    /// What the rolls cost, where prices are known.
    pub sheet_price: Option<f64>,
    /// Weights that hold the sheet, where a gust is told.
    pub weights: Option<u64>,
    /// People who come, where that is known.
    pub people: Option<u64>,
    /// Hours of all people together, where rates are known.
    pub person_hours: Option<f64>,
    /// What their hours cost, where that is known.
    pub work_price: Option<f64>,
    /// Name of the currency.
    pub currency: Option<String>,
}

/// What next season needs, already in words.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NextSeason {
    /// The suggestion, or why there is none.
    pub sentence: String,
    /// What else to know, one sentence each.
    pub notes: Vec<String>,
    /// The suggestion for people who know no blocks and cores; empty where there is none.
    pub plain: String,
    /// Heads of the table of plans: blocks, then numbers of cores.
    pub heads: Vec<String>,
    /// Its rows: blocks, then the chance of finding what is worth having.
    pub plans: Vec<Vec<String>>,
    /// Power curves (SVG).
    pub figure: Option<String>,
}

impl<'a> Findings<'a> {
    /// What the trial has beside its numbers.
    pub(super) fn papers(&self) -> Papers<'a> {
        Papers {
            protocol: self.protocol,
            reporting: self.reporting,
            layout: self.layout,
            greens: self.greens,
            seal: self.seal,
            differences: self.differences,
            events: self.events,
            warnings: self.warnings,
            seed: self.seed,
            read: self.read,
        }
    }

    /// Name of a treatment for people.
    pub(super) fn name(&self, code: &str) -> &'a str {
        let place = self.data.treatments.iter().position(|t| t == code);
        place.map_or("", |i| &self.data.names[i])
    }

    /// Count of a plot per core of the planned size.
    pub(super) fn per_core(&self, plot: &PlotCount) -> f64 {
        plot.count as f64 * self.protocol.response.core_area_m2 / plot.exposure
    }

    /// Mean per core from a mean per unit of exposure.
    pub(super) fn core_mean(&self, per_area: f64) -> f64 {
        per_area * self.protocol.response.core_area_m2
    }
}
