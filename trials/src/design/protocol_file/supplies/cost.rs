//! `[cost]`: what things and hours cost.

use serde::Serialize;

use super::{Reading, Section};
use crate::ranges::protocol::PRICE;

/// Prices, each absent where unknown.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
pub struct Cost {
    /// Of preparing one plot.
    pub plot: Option<f64>,
    /// Of taking and counting one core.
    pub core: Option<f64>,
    /// Of one person for one hour.
    pub person_hour: Option<f64>,
    /// Name of the currency.
    pub currency: Option<String>,
}

pub(super) fn cost(section: &Section<'_>, reading: &mut Reading<'_>) -> Cost {
    section.only(&["plot", "core", "person_hour", "currency"], reading);
    Cost {
        plot: section.number("plot", &PRICE, reading),
        core: section.number("core", &PRICE, reading),
        person_hour: section.number("person_hour", &PRICE, reading),
        currency: section.name("currency", reading),
    }
}
