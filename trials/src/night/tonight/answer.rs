//! What is told of a night.

use serde::Serialize;

use super::super::clock::Timetable;
use super::super::crew::TaskMinutes;
use super::super::handling::StripLoad;
use super::super::wind::Ballast;
use super::Note;

/// People, hours and what they cost.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CrewPlan {
    /// People who come; null where nobody said.
    pub people: Option<u64>,
    /// People it takes within the minutes there are; null where that is not known.
    pub people_needed: Option<u64>,
    /// Person-hours of all tasks; null where one is not known.
    pub hours: Option<f64>,
    /// Lower limit for this night, where all tasks are fitted on earlier nights.
    pub hours_low: Option<f64>,
    /// Upper limit.
    pub hours_high: Option<f64>,
    /// Every task, in the order of the night.
    pub tasks: Vec<TaskMinutes>,
    /// Minutes from the first strip to the last weight.
    pub lay_min: Option<f64>,
    /// Minutes from the first weight off to the last strip up.
    pub lift_min: Option<f64>,
    /// Minutes in which lifting must be done: the club's own, else from first light to sunrise.
    pub lift_within_min: Option<f64>,
    /// Sheet that the people who come manage within the minutes there are, square metres.
    pub sheet_that_fits_m2: Option<f64>,
    /// What the hours cost, in the club's currency.
    pub cost: Option<f64>,
}

/// Clock times of the night, with the distance of the site's clocks from universal time.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Clock {
    /// Date on which the night begins.
    pub date: String,
    /// Time zone.
    pub time_zone: String,
    /// Sunset; null where the sun does not set.
    pub sunset: Option<String>,
    /// End of civil twilight; null where it never gets so dark, or never light.
    pub dusk: Option<String>,
    /// Beginning of civil twilight.
    pub first_light: Option<String>,
    /// Sunrise; null where the sun does not rise.
    pub sunrise: Option<String>,
    /// Minutes by which clocks are put forward in the night, or back where below 0.
    pub clocks_move_min: i32,
    /// First strip; null where minutes of work are not known.
    pub lay_from: Option<String>,
    /// Last weight down.
    pub down_by: Option<String>,
    /// First weight off; null where minutes of work are not known.
    pub lift_from: Option<String>,
    /// Sheets off: sunrise, to the minute before.
    pub sheets_off_by: Option<String>,
    /// When late comers are counted.
    pub late_comers: Vec<String>,
}

/// A night.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Tonight {
    /// Weights; null where no gust was told.
    pub ballast: Option<Ballast>,
    /// Weights that are missing in the shed; null where that is not known.
    pub weights_short: Option<u64>,
    /// What these cost.
    pub weights_cost: Option<f64>,
    /// Every strip in laying order; empty where the sheet's weight is not known.
    pub handling: Vec<StripLoad>,
    /// People and hours.
    pub crew: CrewPlan,
    /// Nights over which the work must be spread; null where that is not known.
    pub nights: Option<u64>,
    /// Clock times; null without date or place.
    pub clock: Option<Clock>,
    /// The timetable behind them; `None` where the night has none.
    #[serde(skip)]
    pub timetable: Option<Timetable>,
    /// What people must know.
    #[serde(skip)]
    pub notes: Vec<Note>,
}
