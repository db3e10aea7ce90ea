//! Arguments of `judge`.

use std::path::PathBuf;

use halfgreen_analysis::comparison::Better;

use super::commands::Context;
use super::typed::one_of;
use crate::commands::judge::Request;
use crate::design::{ResponseKind, VerdictAbout};

#[derive(Debug, clap::Args)]
#[command(group = clap::ArgGroup::new("what").required(true).args(["dir", "counts"]))]
pub(super) struct Args {
    /// Folder of the trial
    dir: Option<PathBuf>,
    /// Table of counts (CSV), one line for each plot
    #[arg(long, value_name = "FILE", requires_all = ["count", "treatment", "control"])]
    counts: Option<PathBuf>,
    /// Column of the counts
    #[arg(long, value_name = "COL", requires = "counts")]
    count: Option<String>,
    /// Column of the treatments
    #[arg(long, value_name = "COL", requires = "counts")]
    treatment: Option<String>,
    /// Treatment that is the control
    #[arg(long, value_name = "LEVEL", requires = "counts")]
    control: Option<String>,
    /// Column of the blocks
    #[arg(long, value_name = "COL", requires = "counts")]
    block: Option<String>,
    /// Column of the rows of a Latin square
    #[arg(long, value_name = "COL", requires_all = ["counts", "column"])]
    row: Option<String>,
    /// Column of the columns of a Latin square
    #[arg(long, value_name = "COL", requires_all = ["counts", "row"])]
    column: Option<String>,
    /// Column that names the plot, where several lines are cores of one plot
    #[arg(long, value_name = "COL", requires = "counts")]
    plot: Option<String>,
    /// Column of the counts before treatment
    #[arg(long, value_name = "COL", requires = "counts")]
    before: Option<String>,
    /// Column of the sampled areas, square metres
    #[arg(long, value_name = "COL", requires = "counts")]
    area: Option<String>,
    /// What the column of the counts holds
    #[arg(long, value_name = "KIND", default_value = "count", requires = "counts",
          value_parser = one_of::<ResponseKind>(&["count", "score", "cover", "length", "edge"]))]
    response: ResponseKind,
    /// Column of the readings outside the plot's edge, for `--response edge`
    #[arg(long, value_name = "COL", requires = "counts")]
    outside: Option<String>,
    /// Which direction is good: by default fewer for counts, more for all else
    #[arg(long, value_name = "fewer|more", requires = "counts",
          value_parser = one_of::<Better>(&["fewer", "more"]))]
    better: Option<Better>,
    /// Smallest change worth having
    ///
    /// Per cent for counts (50 if not given), else in the unit of the reading
    #[arg(long, value_name = "SIZE", requires = "counts")]
    worthwhile: Option<f64>,
    /// Accepted chance of a false claim
    #[arg(long, value_name = "A", requires = "counts", default_value_t = Request::default().alpha)]
    alpha: f64,
    /// Method that the others need only come close to
    #[arg(long, value_name = "LEVEL")]
    reference: Option<String>,
    /// How much worse than the reference would still do, per cent
    #[arg(long, value_name = "PCT", default_value_t = Request::default().margin, requires = "reference")]
    margin: f64,
    /// Animals to the square metre above which action pays, by your own figure; needs --area
    #[arg(long, value_name = "PER_M2", requires = "counts")]
    threshold: Option<f64>,
    /// What the verdict is about where blocks hold several plots of a treatment
    ///
    /// These blocks, or blocks like these; if not given, the second from three blocks on
    #[arg(long, value_name = "these|like-these", requires = "counts",
          value_parser = one_of::<VerdictAbout>(&["these", "like-these"]))]
    verdict_about: Option<VerdictAbout>,
    /// Treatments were not drawn at random: no randomisation test
    #[arg(long, requires = "counts")]
    not_randomised: bool,
}

impl Args {
    pub(super) fn request(&self, context: &Context) -> Request {
        let column = |name: &Option<String>| name.clone().unwrap_or_default();
        Request {
            dir: self.dir.clone(),
            counts: self.counts.clone(),
            count: column(&self.count),
            treatment: column(&self.treatment),
            control: column(&self.control),
            block: self.block.clone(),
            row: self.row.clone(),
            column: self.column.clone(),
            plot: self.plot.clone(),
            before: self.before.clone(),
            area: self.area.clone(),
            response: self.response,
            outside: self.outside.clone(),
            better: self.better,
            worthwhile: self.worthwhile,
            alpha: self.alpha,
            reference: self.reference.clone(),
            margin: self.margin,
            threshold: self.threshold,
            not_randomised: self.not_randomised,
            verdict_about: self.verdict_about,
            seed: context.seed,
        }
    }
}
