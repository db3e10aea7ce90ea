//! The plan with the keys that programs read.

use halfgreen_analysis::comparison::Call;
use serde::Serialize;

use super::advice::Advice;
use super::options::{Costs, Limits, OptionRow};
use super::schedule::{NightRow, Reach};
use super::switching::Switch;
use crate::threshold::Side;

/// A season planned.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SeasonPlan {
    /// Heading.
    pub title: String,
    /// Name of the currency; empty without one.
    pub currency: String,
    /// What a sheet leaves.
    pub effect: EffectRow,
    /// Every green, in the order of the file.
    pub greens: Vec<GreenRow>,
    /// Every night.
    pub nights: Vec<NightRow>,
    /// How far the plan reaches, and how near it is to the best.
    pub reach: Reach,
    /// The sheet there is, and what is missing.
    pub sheet: SheetRow,
    /// What could be done, cheapest first.
    pub options: Vec<OptionRow>,
    /// Is it worth it?
    pub advice: Advice,
    /// What would change the answer, for sheets on all greens; empty without prices, larvae or worth.
    pub switching: Vec<Switch>,
    /// What the reader must bear in mind.
    pub notes: Vec<String>,
}

/// What a sheet leaves.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct EffectRow {
    /// Name of the method.
    pub method: String,
    /// Ratio of means, method to control.
    pub ratio: f64,
    /// Lower limit.
    pub low: f64,
    /// Upper limit; null where there is none.
    pub high: Option<f64>,
    /// Confidence level of the limits.
    pub confidence_level: f64,
    /// The verdict.
    pub call: Call,
    /// Confidence that nothing is removed; null where it cannot be had.
    pub chance_of_nothing: Option<f64>,
    /// What that rests on.
    pub chance_basis: &'static str,
    /// Where the ratio comes from.
    pub basis: String,
    /// Nights under the sheet for which it holds.
    pub nights: usize,
}

/// A green.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct GreenRow {
    /// Its name.
    pub green: String,
    /// Its area, square metres.
    pub area_m2: f64,
    /// Larvae per square metre.
    pub per_m2: Limits,
    /// Where that lies beside the club's own threshold; null without one.
    pub side: Option<Side>,
    /// Larvae on all of it.
    pub larvae: Limits,
    /// How much a larva on it counts.
    pub priority: f64,
    /// Pieces in which it is covered; 0 where no night suffices for any.
    pub pieces: usize,
    /// Pieces that the plan covers.
    pub covered: usize,
    /// Numbers of the nights on which something of it is covered.
    pub nights: Vec<usize>,
    /// What the plan spends on it.
    pub costs: Costs,
    /// Larvae that the plan removes on it.
    pub removed: Limits,
    /// Cost of a thousand of them.
    pub cost_per_1000: Limits,
    /// Why it is left, or left in part; null where all of it is covered.
    pub left: Option<String>,
}

/// The sheet.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct SheetRow {
    /// Square metres that there are.
    pub owned_m2: f64,
    /// Square metres for the largest green in one piece, laps and edges included.
    pub largest_m2: f64,
    /// Square metres missing for that.
    pub short_m2: f64,
    /// Price of those; null without a price.
    pub price_of_short: Option<f64>,
}
