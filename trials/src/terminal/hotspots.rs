//! Arguments of `hotspots`.

use std::path::PathBuf;

use super::commands::Context;
use crate::commands::hotspots::Request;
use crate::mapping::Weights;

#[derive(Debug, clap::Args)]
#[command(group = clap::ArgGroup::new("what").required(true).args(["dir", "counts", "positions"]))]
pub(super) struct Args {
    /// Folder of a trial: its plots' counts on the main occasion
    dir: Option<PathBuf>,
    /// Table of counts with places (CSV)
    #[arg(long, value_name = "FILE", requires_all = ["x", "y", "count"])]
    counts: Option<PathBuf>,
    /// Table of single positions, such as emergence holes, one a line (CSV)
    #[arg(long, value_name = "FILE", requires_all = ["x", "y", "outline"])]
    positions: Option<PathBuf>,
    /// Column of metres east
    #[arg(long, value_name = "COL", conflicts_with = "dir")]
    x: Option<String>,
    /// Column of metres north
    #[arg(long, value_name = "COL", conflicts_with = "dir")]
    y: Option<String>,
    /// Column of the counts
    #[arg(long, value_name = "COL", requires = "counts")]
    count: Option<String>,
    /// Column of a second map, such as wetness
    #[arg(long, value_name = "COL", requires = "counts")]
    with: Option<String>,
    /// Columns of what the ground is like, such as moisture or shade
    ///
    /// They hold numbers, or kinds in words
    #[arg(
        long,
        value_name = "COL[,COL]",
        value_delimiter = ',',
        requires = "counts"
    )]
    ground: Vec<String>,
    /// Who is a neighbour: queen, rook, distance:M or nearest:K
    ///
    /// Queen and rook are for grids. Without it queen for a table, the four nearest plots for a trial
    #[arg(
        long,
        conflicts_with = "positions",
        value_name = "queen|rook|distance:M|nearest:K"
    )]
    weights: Option<Weights>,
    /// Arrangements drawn for each test
    #[arg(long, value_name = "N", default_value_t = Request::default().permutations)]
    permutations: u32,
    /// Outline of the green, for pictures and the cover plan
    ///
    /// For positions it is the ground that was searched
    #[arg(long, value_name = "FILE", conflicts_with = "dir")]
    outline: Option<PathBuf>,
    /// Width of a roll of sheet, metres
    #[arg(
        long,
        conflicts_with = "positions",
        value_name = "M",
        default_value_t = Request::default().roll_width
    )]
    roll_width: f64,
    /// Strips longer than this are cut, metres
    #[arg(
        long,
        conflicts_with = "positions",
        value_name = "M",
        default_value_t = Request::default().strip_length
    )]
    strip_length: f64,
    /// Overlap of neighbouring strips, metres
    #[arg(
        long,
        conflicts_with = "positions",
        value_name = "M",
        default_value_t = Request::default().lap
    )]
    lap: f64,
    /// Laying direction, degrees anticlockwise from east
    ///
    /// Without it every 5 degrees and the green's long axis are tried
    #[arg(
        long,
        conflicts_with = "positions",
        value_name = "DEG",
        allow_negative_numbers = true
    )]
    direction: Option<f64>,
    /// Sheet there is, square metres
    #[arg(long, conflicts_with = "positions", value_name = "M2")]
    sheet: Option<f64>,
    /// Folder for the pictures
    #[arg(long, value_name = "DIR")]
    out: Option<PathBuf>,
}

impl Args {
    pub(super) fn request(&self, context: &Context) -> Request {
        Request {
            dir: self.dir.clone(),
            counts: self.counts.clone(),
            positions: self.positions.clone(),
            x: self.x.clone(),
            y: self.y.clone(),
            count: self.count.clone(),
            with: self.with.clone(),
            ground: self.ground.clone(),
            weights: self.weights,
            permutations: self.permutations,
            outline: self.outline.clone(),
            roll_width: self.roll_width,
            strip_length: self.strip_length,
            lap: self.lap,
            direction: self.direction,
            sheet: self.sheet,
            seed: context.seed.unwrap_or(Request::default().seed),
            out: self.out.clone(),
        }
    }
}
