//! What is ordered, cut and laid.

use serde::Serialize;

use super::super::laps::Lapping;
use super::super::takeoff::Strip;
use super::sort::Sort;

/// A strip in its place and order.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct OrderedStrip {
    /// Order of laying, from 1, over all ground.
    pub order: usize,
    /// Number of the roll that it is cut from.
    pub roll: usize,
    /// Place of its patch in [`SheetOrder::patches`].
    #[serde(skip)]
    pub patch: usize,
    /// Green, where there are several.
    pub green: Option<String>,
    /// Plot; none on a green.
    pub plot: Option<String>,
    /// Where it lies.
    #[serde(flatten)]
    pub strip: Strip,
}

/// A roll and what is cut from it.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct OrderedRoll {
    /// Number, from 1: rolls of the shed first.
    pub roll: usize,
    /// Name of its sort.
    pub sort: String,
    /// Whether it is in the shed already.
    pub in_shed: bool,
    /// Length before it is cut, metres.
    pub length_m: f64,
    /// Width, metres.
    pub width_m: f64,
    /// Strips by their order of laying, in cutting order.
    pub strips: Vec<usize>,
    /// What is left of it, metres.
    pub rest_m: f64,
}

/// Rolls of one sort to buy.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Purchase {
    /// The sort.
    #[serde(flatten)]
    pub sort: Sort,
    /// Whole rolls.
    pub rolls: usize,
    /// What they cost, where the price is known.
    pub cost: Option<f64>,
}

/// A patch of ground as it is laid.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct LaidPatch {
    /// Green, where there are several.
    pub green: Option<String>,
    /// Plot; none for a green.
    pub plot: Option<String>,
    /// Ground to be covered, without laps and margin, square metres.
    pub area_m2: f64,
    /// Sheet cut for it, square metres.
    pub sheet_m2: f64,
    /// Direction of the strips, degrees anticlockwise from east.
    pub angle_deg: f64,
    /// Directions that were tried.
    pub directions: usize,
    /// Lap of neighbours, metres.
    pub lap_m: f64,
    /// Sheet beyond the edge, metres.
    pub edge_m: f64,
    /// Which strip lies over which.
    pub lapping: Lapping,
}

/// What is bought, cut and laid.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SheetOrder {
    /// Ground to be covered, without laps and margin, square metres.
    pub area_m2: f64,
    /// Sheet cut: laps and margin included, square metres.
    pub sheet_m2: f64,
    /// Of it, what comes out of the shed, square metres.
    pub from_stock_m2: f64,
    /// Of it, what the shed does not yield and must be bought, square metres.
    pub short_m2: f64,
    /// Of the sheet on all rolls that are cut, what is in no strip, per cent.
    pub waste_percent: f64,
    /// The patches.
    pub patches: Vec<LaidPatch>,
    /// The strips in laying order.
    pub strips: Vec<OrderedStrip>,
    /// The rolls in cutting order.
    pub rolls: Vec<OrderedRoll>,
    /// Whole rolls to buy.
    pub to_buy: Vec<Purchase>,
    /// What they cost; none where a price is not known.
    #[serde(skip)]
    pub cost: Option<f64>,
    /// Whether no cutting of these strips costs less, or, without prices, takes less sheet.
    pub proven: bool,
    /// By how much a cutting could cost less at most, as a share of the cost, per cent.
    pub gap_percent: f64,
}
