//! `next`: how large the next trial must be.

use std::fmt::Write;
use std::path::PathBuf;

use halfgreen_analysis::answers::Estimate;
use halfgreen_analysis::power::assurance::{Knowledge, from_range};
use halfgreen_analysis::power::simulated::Ground;
use indicatif::{ProgressBar, ProgressStyle};

use super::commands::Context;
use super::files;
use super::output::{Output, Refusal};
use super::show::{DOUBTFUL, GOOD};
use crate::design::Better;
use crate::season::carry::{PastTrial, from_past, read_results};
use crate::season::next_trial::{Method, NextTrial, next_trial};
use crate::season::pictures::power_curves;
use crate::season::planned_test::{NAME, planned_test};
use crate::season::prices::Prices;
use crate::season::wish::Wish;
use crate::store::{NewFile, Replace, TrialFolder, read_text, write_all};
use crate::{Error, Warning};

/// Arguments of `next`.
#[derive(Debug, clap::Args)]
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
    #[arg(
        long,
        value_name = "LOW,HIGH",
        value_delimiter = ',',
        num_args = 2,
        conflicts_with = "k"
    )]
    k_range: Option<Vec<f64>>,
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
    /// Cores in each plot, one number or several
    #[arg(long, value_name = "N", value_delimiter = ',')]
    cores: Vec<usize>,
    /// Numbers of blocks to try
    #[arg(long, value_name = "N", value_delimiter = ',')]
    blocks: Vec<usize>,
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
    let (knowledge, wish, mut warnings) = question(args)?;
    let costs = &args.costs;
    let prices = Prices {
        plot: costs.cost_plot,
        core: costs.cost_core,
        sheet_night: costs.cost_sheet_night,
        nights: costs.nights,
        plot_minutes: costs.minutes_plot,
        core_minutes: costs.minutes_core,
    };
    // One block more than the largest plan is looked at beside the suggestion.
    let most = wish.blocks.iter().copied().max().unwrap_or(0).max(200) + 1;
    let method = Method {
        test: planned_test(wish.alpha, wish.reduction, wish.methods, most),
        name: NAME.to_owned(),
        trials: args.trials,
        seed: context.seed.unwrap_or(SEED),
    };
    let bar = progress(context);
    let done = |ready: usize, of: usize| {
        bar.set_length(of as u64);
        bar.set_position(ready as u64);
    };
    let answer = next_trial(&wish, &knowledge, &prices, &method, &done)?;
    bar.finish_and_clear();
    let mut text = words(&answer);
    if let Some(dir) = &args.out {
        let path = dir.join("power-curves.svg");
        // Writing into a text cannot fail.
        writeln!(text, "\nwritten: {}", path.display()).unwrap_or_default();
        let text = power_curves(&answer)?;
        write_all(&[NewFile {
            path,
            text,
            replace: Replace::Allowed,
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

/// What is known, what is wished, and what was assumed on the way.
fn question(args: &Args) -> Result<(Knowledge, Wish, Vec<Warning>), Refusal> {
    let mut warnings = Vec::new();
    let mut past = Vec::new();
    let mut reduction = args.reduction;
    let mut alpha = args.alpha;
    let mut methods = args.methods;
    let mut cores = args.cores.clone();
    if let Some(dir) = &args.dir {
        let folder = TrialFolder::open(dir)?;
        let read = files::protocol(&folder)?;
        warnings.extend(read.cautions);
        let protocol = read.protocol;
        if protocol.response.better == Better::More && reduction.is_none() {
            let what = "this trial looked for an increase, and plans are sized for a reduction";
            return Err(Error::new(folder.shown("trial.toml"), what, "Give --reduction.").into());
        }
        reduction = reduction.or(Some(protocol.decision.worthwhile_percent));
        alpha = alpha.or(Some(protocol.decision.alpha));
        methods = methods.or(Some(protocol.treatments.len().saturating_sub(1)));
        let own = protocol.response.cores_per_plot;
        if cores.is_empty() {
            cores = vec![own.div_ceil(2), own, 2 * own];
            cores.dedup();
        }
        past.push(read_results(
            &folder.shown(RESULTS),
            &folder.text(RESULTS)?,
        )?);
    }
    for path in &args.past {
        past.push(read_results(
            &path.display().to_string(),
            &read_text(path)?,
        )?);
    }
    if cores.is_empty() {
        cores = vec![1, 2, 4, 8];
    }
    let reduction = reduction.ok_or_else(|| {
        Error::new(
            "--reduction",
            "it is not given",
            "Give the smallest reduction worth having, in per cent.",
        )
    })?;
    let wish = Wish {
        reduction: reduction / 100.0,
        methods: methods.unwrap_or(1),
        alpha: alpha.unwrap_or(0.05),
        power: args.power,
        blocks: args.blocks.clone(),
        cores,
    };
    Ok((knowledge(args, &past, &mut warnings)?, wish, warnings))
}

/// Where a judged trial keeps its results.
const RESULTS: &str = "report/results.json";
/// Spread of log block means where nothing is known: blocks then differ by about half. An assumption.
const BLOCK_SD: f64 = 0.4;

/// Past trials first; a number on the command line overrides what they say.
fn knowledge(
    args: &Args,
    past: &[PastTrial],
    warnings: &mut Vec<Warning>,
) -> Result<Knowledge, Error> {
    let mut known = if past.is_empty() {
        let needed = |value: Option<f64>, flag: &str| {
            value.ok_or_else(|| {
                let cure = "Give it, or the folder of a judged trial.";
                Error::new(
                    flag,
                    "it is not given, and there is no past trial to take it from",
                    cure,
                )
            })
        };
        let k_core = match args.k_range {
            Some(_) => f64::INFINITY,
            None => needed(args.k, "--k")?,
        };
        if args.block_sd.is_none() {
            warnings.push(Warning {
                code: "block-spread-assumed",
                message: format!("Blocks are taken to differ with a log standard deviation of {BLOCK_SD}; --block-sd says otherwise."),
                place: None,
            });
        }
        Knowledge::certain(&Ground {
            mean: needed(args.mean, "--mean")?,
            k_core,
            k_plot: f64::INFINITY,
            block_sd: BLOCK_SD,
            missing: args.missing,
        })
    } else {
        from_past(past, args.missing)?
    };
    let sure = |value: f64| Estimate {
        value: value.ln(),
        se: 0.0,
    };
    if let Some(mean) = args.mean {
        known.ln_mean = sure(mean);
    }
    if let Some(k) = args.k {
        known.ln_k_core = sure(k);
        known.ln_k_plot = sure(f64::INFINITY);
    }
    if let Some(&[low, high]) = args.k_range.as_deref() {
        known.ln_k_core = from_range(low, high, 0.9)?;
        known.ln_k_plot = sure(f64::INFINITY);
    }
    if let Some(k) = args.k_plot {
        known.ln_k_plot = sure(k);
    }
    if let Some(sd) = args.block_sd {
        known.ln_block_sd = sure(sd);
    }
    Ok(known)
}

/// The answer in words and a table.
fn words(answer: &NextTrial) -> String {
    let found = &answer.suggestion;
    let style = if found.reached { GOOD } else { DOUBTFUL };
    let mut text = format!("{style}{}{style:#}\n\n", found.sentence);
    table(answer, &mut text);
    let percent = |share: f64| 100.0 * share;
    let mut lines = vec![format!(
        "\nThe suggested plan: power {:.1} % (give or take {:.1}), averaged over what is not known of the ground {:.1} %.",
        percent(found.plan.power),
        2.0 * percent(found.plan.power_se),
        percent(found.assurance)
    )];
    lines.push(format!(
        "One block more: {:.1} %.",
        percent(found.extra_block.power)
    ));
    lines.push(match found.smallest_reduction {
        Some(seen) => format!(
            "The smallest reduction it finds as surely as wished is about {:.0} %.",
            seen.reduction_percent
        ),
        None => "There is no reduction that it finds as surely as wished.".to_owned(),
    });
    if let Some(cores) = found.optimum_cores {
        lines.push(format!(
            "At these prices power is cheapest with {cores} cores in each plot."
        ));
    }
    lines.push(String::new());
    lines.extend(found.truths.iter().map(|told| told.sentence.clone()));
    text.push_str(&lines.join("\n"));
    text.push('\n');
    text
}

/// Blocks down, cores across.
fn table(answer: &NextTrial, text: &mut String) {
    let cores = &answer.assumptions.wish.cores;
    let rows = answer.table.len() / cores.len().max(1);
    let mut head = "power, %   ".to_owned();
    for n in cores {
        head.push_str(&format!("{:>18}", format!("{n} cores a plot")));
    }
    text.push_str(&head);
    text.push('\n');
    for row in 0..rows {
        let cells = || answer.table.iter().skip(row).step_by(rows.max(1));
        let blocks = cells().next().map_or(0, |c| c.blocks);
        let mut line = format!("{blocks:>3} blocks ");
        for cell in cells() {
            let power = format!("{:.1} +-{:.1}", 100.0 * cell.power, 200.0 * cell.power_se);
            line.push_str(&format!("{power:>18}"));
        }
        text.push_str(&line);
        text.push('\n');
    }
}
