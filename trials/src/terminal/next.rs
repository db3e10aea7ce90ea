//! Arguments of `next`.

use std::ops::RangeInclusive;
use std::path::PathBuf;

use super::commands::Context;
use super::typed::{blocks, cores, pair};
use crate::commands::next::Request;

#[derive(Debug, clap::Args)]
#[command(allow_negative_numbers = true)]
pub(super) struct Args {
    /// Folder of a judged trial to learn from
    dir: Option<PathBuf>,
    /// Results of further past trials, pooled with it
    #[arg(long, value_name = "FILE")]
    past: Vec<PathBuf>,
    /// Clumping k of counts per core: variance m + m^2 / K
    #[arg(long, value_name = "K")]
    k: Option<f64>,
    /// Range that k lies in with 90 per cent, instead of one value
    #[arg(long, value_name = "LOW,HIGH", value_parser = pair, conflicts_with = "k")]
    k_range: Option<(f64, f64)>,
    /// Clumping of whole plots of a block beyond that of their cores
    #[arg(long, value_name = "K")]
    k_plot: Option<f64>,
    /// Mean count of a core in untreated ground
    #[arg(long, value_name = "M")]
    mean: Option<f64>,
    /// Smallest reduction worth having, per cent
    #[arg(long, value_name = "PCT")]
    reduction: Option<f64>,
    /// Standard deviation of the log mean between blocks
    #[arg(long, value_name = "S")]
    block_sd: Option<f64>,
    /// Cores in each plot to try: a number, a list such as 2,4,8 or a range such as 2-4
    #[arg(long, value_name = "N", value_delimiter = ',', value_parser = cores)]
    cores: Vec<RangeInclusive<usize>>,
    /// Blocks to try: a number, a list such as 6,8,12 or a range such as 6-12
    #[arg(long, value_name = "N", value_delimiter = ',', value_parser = blocks)]
    blocks: Vec<RangeInclusive<usize>>,
    /// Methods compared with the control
    #[arg(long, value_name = "N")]
    methods: Option<usize>,
    /// Error rate of the headline test
    #[arg(long, value_name = "A")]
    alpha: Option<f64>,
    /// Chance with which the reduction must be found
    #[arg(long, value_name = "P", default_value_t = Request::default().power)]
    power: f64,
    /// Share of plots that will be lost
    #[arg(long, value_name = "SHARE", default_value_t = Request::default().missing)]
    missing: f64,
    /// Shares of the counting at which the trial may be judged before its end, such as 0.5; its end is judged in any case
    #[arg(long, value_name = "SHARE", value_delimiter = ',')]
    looks: Vec<f64>,
    /// Let early looks take an even part of alpha instead of next to nothing
    #[arg(long, requires = "looks")]
    even_looks: bool,
    #[command(flatten)]
    costs: Costs,
    /// Simulated trials for each plan, at most
    ///
    /// Without it as many as the report of the trial in DIR takes, or 2000 without a trial. From 250 on a quick test sees every
    /// one, and the headline test judges those that it leaves open and a known share of the others
    #[arg(long, value_name = "N")]
    trials: Option<usize>,
    /// Folder for the power curves
    #[arg(long, value_name = "DIR")]
    out: Option<PathBuf>,
}

/// What things cost.
#[derive(Debug, clap::Args)]
struct Costs {
    /// Cost of a plot without its cores
    #[arg(long, value_name = "C")]
    cost_plot: Option<f64>,
    /// Cost of a core
    #[arg(long, value_name = "C")]
    cost_core: Option<f64>,
    /// Cost of a sheet on one plot for one night
    #[arg(long, value_name = "C")]
    cost_sheet_night: Option<f64>,
    /// Nights under the sheet
    #[arg(long, value_name = "N", default_value_t = Request::default().nights)]
    nights: f64,
    /// Cost of one person for one hour; counts where minutes are given
    #[arg(long, value_name = "C")]
    cost_hour: Option<f64>,
    /// People's minutes for a plot
    #[arg(long, value_name = "MIN")]
    minutes_plot: Option<f64>,
    /// People's minutes for a core
    #[arg(long, value_name = "MIN")]
    minutes_core: Option<f64>,
}

/// Every number of the ranges, in the order in which they were given.
fn each(ranges: &[RangeInclusive<usize>]) -> Vec<usize> {
    ranges.iter().cloned().flatten().collect()
}

impl Args {
    pub(super) fn request(&self, context: &Context) -> Request {
        Request {
            dir: self.dir.clone(),
            past: self.past.clone(),
            k: self.k,
            k_range: self.k_range,
            k_plot: self.k_plot,
            mean: self.mean,
            reduction: self.reduction,
            block_sd: self.block_sd,
            cores: each(&self.cores),
            blocks: each(&self.blocks),
            methods: self.methods,
            alpha: self.alpha,
            power: self.power,
            missing: self.missing,
            looks: self.looks.clone(),
            even_looks: self.even_looks,
            cost_plot: self.costs.cost_plot,
            cost_core: self.costs.cost_core,
            cost_sheet_night: self.costs.cost_sheet_night,
            cost_hour: self.costs.cost_hour,
            nights: self.costs.nights,
            minutes_plot: self.costs.minutes_plot,
            minutes_core: self.costs.minutes_core,
            trials: self.trials,
            out: self.out.clone(),
            seed: context.seed,
        }
    }
}
