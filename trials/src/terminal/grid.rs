//! Arguments of `grid`.

use std::path::PathBuf;

use super::commands::Context;
use super::law::LawArgs;
use super::typed::one_of;
use crate::commands::grid::Request;
use crate::scouting::grid::Pattern;

#[derive(Debug, clap::Args)]
#[command(group = clap::ArgGroup::new("density").required(true).args(["points", "spacing", "precision"]))]
pub(super) struct Args {
    /// Outline: `x_m,y_m` or tape offsets (CSV), GeoJSON, or a walk round the edge (GPX)
    outline: PathBuf,
    /// Number of points wanted
    #[arg(long, value_name = "N")]
    points: Option<usize>,
    /// Distance between points, metres
    #[arg(long, value_name = "M")]
    spacing: Option<f64>,
    /// Standard error over the mean that the survey must reach; sets the number of points
    #[arg(long, value_name = "D", requires = "mean")]
    precision: Option<f64>,
    /// Take the precision as the half-width of an interval of this confidence, such as 0.95
    #[arg(long, value_name = "LEVEL", requires = "precision")]
    confidence: Option<f64>,
    /// Mean count of a core that is expected
    #[arg(long, value_name = "M", requires = "precision")]
    mean: Option<f64>,
    /// Take the mean as larvae per square metre
    #[arg(long, requires = "mean", requires = "core_area")]
    per_m2: bool,
    /// Area of a core, square metres: a small green then needs fewer
    #[arg(long, value_name = "M2", requires = "precision")]
    core_area: Option<f64>,
    #[command(flatten)]
    law: LawArgs,
    /// How the points lie
    #[arg(long, default_value = "square", value_parser = one_of::<Pattern>(&["square", "triangular", "random", "stratified", "zigzag"]))]
    pattern: Pattern,
    /// Distance kept from the edge, metres
    #[arg(long, value_name = "M", default_value_t = Request::default().margin)]
    margin: f64,
    /// Folder for the map, the points (CSV, GeoJSON) and the tape instructions
    #[arg(long, value_name = "DIR")]
    out: Option<PathBuf>,
}

impl Args {
    pub(super) fn request(&self, context: &Context) -> Request {
        Request {
            outline: self.outline.clone(),
            points: self.points,
            spacing: self.spacing,
            precision: self.precision,
            confidence: self.confidence,
            mean: self.mean,
            per_m2: self.per_m2,
            core_area: self.core_area,
            law: self.law.request(),
            pattern: self.pattern,
            margin: self.margin,
            seed: context.seed,
            out: self.out.clone(),
        }
    }
}
