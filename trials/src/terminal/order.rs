//! Arguments of `order`.

use std::path::PathBuf;

use super::commands::Context;
use crate::commands::order::Request;

#[derive(Debug, clap::Args)]
pub(super) struct Args {
    /// Folder of the trial
    dir: PathBuf,
    /// Cover whole greens; without it the plots that are to be covered
    #[arg(long, conflicts_with = "plan")]
    whole_green: bool,
    /// Cover the strips of a plan that `hotspots DIR --json` wrote
    #[arg(long, value_name = "FILE")]
    plan: Option<PathBuf>,
    /// Direction of the strips, degrees anticlockwise from east
    ///
    /// Without it the best is searched
    #[arg(
        long,
        value_name = "DEG",
        requires = "whole_green",
        allow_negative_numbers = true
    )]
    angle: Option<f64>,
    /// Lay sheet over holes, such as bunkers, too
    #[arg(long, requires = "whole_green")]
    over_holes: bool,
    /// Gust that sheets must bear, with its unit, such as "20 mph"
    ///
    /// In m/s, mph, km/h or kn, or as a Beaufort force, such as F4
    #[arg(long, value_name = "SPEED")]
    gust: Option<String>,
    /// Where the wind comes from, degrees clockwise from north
    #[arg(long, value_name = "DEG", allow_negative_numbers = true)]
    wind_from: Option<f64>,
    /// Date on which the night begins, year-month-day
    ///
    /// Without it the night before the count that decides
    #[arg(long, value_name = "DATE")]
    date: Option<String>,
    /// People who come
    #[arg(long, value_name = "N")]
    people: Option<u64>,
}

impl Args {
    pub(super) fn request(&self, _context: &Context) -> Request {
        Request {
            dir: self.dir.clone(),
            whole_green: self.whole_green,
            plan: self.plan.clone(),
            angle: self.angle,
            over_holes: self.over_holes,
            gust: self.gust.clone(),
            wind_from: self.wind_from,
            date: self.date.clone(),
            people: self.people,
        }
    }
}
