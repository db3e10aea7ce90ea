//! `next`: how large the next trial must be.

mod question;

use std::fmt::Write;
use std::ops::RangeInclusive;
use std::path::PathBuf;

use indicatif::{ProgressBar, ProgressStyle};

use super::commands::Context;
use super::output::{Output, Refusal};
use super::pair::{pair, range};
use crate::Warning;
use crate::next_season::headline::{NAME, headline};
use crate::next_season::next_trial::{Method, next_trial};
use crate::next_season::pictures::power_curves;
use crate::next_season::prices::Prices;
use crate::next_season::telling;
use crate::store::{NewFile, Replace, write_all};

/// Arguments of `next`.
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
    #[arg(long, value_name = "N", value_delimiter = ',', value_parser = range)]
    cores: Vec<RangeInclusive<usize>>,
    /// Blocks to try: a number, a list such as 6,8,12 or a range such as 6-12
    #[arg(long, value_name = "N", value_delimiter = ',', value_parser = range)]
    blocks: Vec<RangeInclusive<usize>>,
    /// Methods compared with the control
    #[arg(long, value_name = "N")]
    methods: Option<usize>,
    /// Error rate of the headline test
    #[arg(long, value_name = "A")]
    alpha: Option<f64>,
    /// Chance with which the reduction must be found
    #[arg(long, value_name = "P", default_value_t = 0.8)]
    power: f64,
    /// Share of plots that will be lost
    #[arg(long, value_name = "SHARE", default_value_t = 0.0)]
    missing: f64,
    /// Shares of the counting at which the trial may be judged before its end, such as 0.5,1
    #[arg(long, value_name = "SHARE", value_delimiter = ',')]
    looks: Vec<f64>,
    /// Let early looks take an even part of alpha instead of next to nothing
    #[arg(long, requires = "looks")]
    even_looks: bool,
    #[command(flatten)]
    costs: Costs,
    /// Simulated trials for each plan, at most
    #[arg(long, value_name = "N", default_value_t = 2000)]
    trials: usize,
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
    #[arg(long, value_name = "N", default_value_t = 1.0)]
    nights: f64,
    /// People's minutes for a plot
    #[arg(long, value_name = "MIN")]
    minutes_plot: Option<f64>,
    /// People's minutes for a core
    #[arg(long, value_name = "MIN")]
    minutes_core: Option<f64>,
}

/// Seed when none is given: the answer is the same each time it is asked.
const SEED: u64 = 1;

pub(super) fn run(args: &Args, context: &Context) -> Result<Output, Refusal> {
    let (knowledge, wish, mut warnings) = question::question(args, context.seed)?;
    let costs = &args.costs;
    let prices = Prices {
        plot: costs.cost_plot,
        core: costs.cost_core,
        sheet_night: costs.cost_sheet_night,
        nights: costs.nights,
        plot_minutes: costs.minutes_plot,
        core_minutes: costs.minutes_core,
    };
    let method = Method {
        test: headline(wish.alpha, Some(wish.reduction)),
        beats: headline(wish.alpha, None),
        name: NAME.to_owned(),
        trials: args.trials,
        seed: context.seed.unwrap_or(SEED),
        brief: false,
    };
    let bar = progress(context);
    let done = |ready: usize, of: usize| {
        bar.set_length(of as u64);
        bar.set_position(ready as u64);
    };
    let answer = next_trial(&wish, &knowledge, &prices, &method, &done)?;
    bar.finish_and_clear();
    let mut text = telling::text(&answer);
    if let Some(dir) = &args.out {
        let path = dir.join("power-curves.svg");
        // Writing into a text cannot fail.
        writeln!(text, "\nwritten: {}", path.display()).unwrap_or_default();
        let text = power_curves(&answer)?;
        write_all(&[NewFile {
            path,
            text,
            replace: Replace::Own,
        }])?;
    }
    warnings.extend(answer.cautions.iter().cloned().map(Warning::from));
    let mut output = Output::new(&answer, text)?.with_warnings(warnings);
    output.seed = Some(method.seed);
    Ok(output)
}

fn progress(context: &Context) -> ProgressBar {
    if context.quiet || context.json {
        return ProgressBar::hidden();
    }
    let bar = ProgressBar::new(0);
    match ProgressStyle::with_template("{bar:40} {pos} of {len} plans simulated") {
        Ok(style) => bar.with_style(style),
        Err(_) => bar,
    }
}
