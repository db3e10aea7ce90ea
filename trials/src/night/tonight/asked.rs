//! What is known of a night.

use jiff::civil::Date;

use super::super::clock::Place;
use super::super::crew::NightRecord;
use super::super::wind::Cover;
use crate::design::{Cost, Crew, Weights, Wind};

/// Sheets that lie tonight.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Sheets {
    /// Sheets that lie together, each with its edge and laps.
    pub covers: Vec<Cover>,
    /// Length and width of every strip, metres, in laying order.
    pub strips: Vec<[f64; 2]>,
    /// Weight of a dry square metre, grams, where it is known.
    pub grams_per_m2: Option<f64>,
    /// Water that lies on it at dawn, millimetres, where the club has a figure.
    pub held_water_mm: Option<f64>,
    /// Plots, or greens, that are counted.
    pub plots: u64,
}

/// A night with a date at a place.
#[derive(Debug, Clone, PartialEq)]
pub struct Dated {
    /// Date on which it begins.
    pub date: Date,
    /// The place.
    pub place: Place,
}

/// All that is known of a night.
#[derive(Debug, Clone)]
pub struct Asked<'a> {
    /// The sheets.
    pub sheets: &'a Sheets,
    /// Wind, as told for this night.
    pub wind: Wind,
    /// What holds sheets down.
    pub weights: &'a Weights,
    /// People and rates.
    pub crew: Crew,
    /// Prices.
    pub cost: &'a Cost,
    /// Earlier nights.
    pub records: &'a [NightRecord],
    /// Date and place, where both are known.
    pub dated: Option<Dated>,
}
