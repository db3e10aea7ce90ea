//! Sheets, wind, weights, crew, prices and the place: what a night needs, for the commands that order it.
//!
//! | part | what it reads |
//! |---|---|
//! | [`sheet`] | `[sheet]`, `[[roll]]` |
//! | [`weather`] | `[wind]`, `[ballast]` |
//! | [`crew`] | `[crew]` |
//! | [`place`] | `[place]` |
//! | [`cost`] | `[cost]` |

mod cost;
mod crew;
mod place;
mod sheet;
mod weather;

use serde::Serialize;

use super::file::TrialFile;
use super::section::{Reading, Section};

pub use cost::Cost;
pub use crew::{Crew, Rates};
pub use place::Place;
pub use sheet::Roll;
pub use weather::{Weights, Wind};

/// What the club has and pays. Nothing here changes how a trial is judged.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
pub struct Supplies {
    /// Sorts of sheet, in file order.
    pub rolls: Vec<Roll>,
    /// Wind to hold the sheets against.
    pub wind: Wind,
    /// Weights that hold them.
    pub ballast: Weights,
    /// People on the night and what they take.
    pub crew: Crew,
    /// Where the green lies.
    pub place: Place,
    /// Prices, in the club's own currency.
    pub cost: Cost,
}

/// Reads the sections, all of them optional.
pub(super) fn supplies(file: &TrialFile<'_>, reading: &mut Reading<'_>) -> Supplies {
    let section = |name: &str, reading: &mut Reading<'_>| file.section(name, reading);
    let sheet = section("sheet", reading);
    let mut rolls = file.list("roll", reading);
    if sheet.table.is_some() {
        rolls.insert(0, sheet);
    }
    Supplies {
        rolls: rolls.iter().map(|s| sheet::roll(s, reading)).collect(),
        wind: weather::wind(&section("wind", reading), reading),
        ballast: weather::ballast(&section("ballast", reading), reading),
        crew: crew::crew(&section("crew", reading), reading),
        place: place::place(&section("place", reading), reading),
        cost: cost::cost(&section("cost", reading), reading),
    }
}
