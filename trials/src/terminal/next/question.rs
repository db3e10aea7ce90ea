//! What is asked and what is known, from the command line, the protocol and past results.

use std::ops::RangeInclusive;

use halfgreen_analysis::power::assurance::{ParameterUncertainty, from_range};
use halfgreen_analysis::power::simulated::SiteParameters;
use halfgreen_analysis::results::Estimate;
use halfgreen_analysis::sequential::spending::Spending;

use super::super::files;
use super::super::output::Refusal;
use super::Args;
use crate::design::Better;
use crate::judgement::judge;
use crate::next_season::carry::{PastTrial, from_past, read_results};
use crate::next_season::looks;
use crate::next_season::wish::Wish;
use crate::store::{RESULTS, TRIAL, TrialFolder, read_text};
use crate::{Error, Warning};

/// What is known, what is wished, and what was assumed on the way.
pub(super) fn question(
    args: &Args,
    seed: Option<u64>,
) -> Result<(ParameterUncertainty, Wish, Vec<Warning>), Refusal> {
    let mut warnings = Vec::new();
    let mut past = Vec::new();
    let mut core_area = None;
    let mut reduction = args.reduction;
    let mut alpha = args.alpha;
    let mut methods = args.methods;
    let mut cores = each(&args.cores);
    if let Some(dir) = &args.dir {
        let folder = TrialFolder::open(dir)?;
        let read = files::protocol(&folder)?;
        warnings.extend(read.cautions);
        let protocol = read.protocol;
        if !protocol.response.kind.is_count() {
            let what = "this trial takes readings, and plans are sized for counts of animals";
            let cure = "Give --k, --mean and --reduction from a trial with counts.";
            return Err(Error::new(folder.shown(TRIAL), what, cure).into());
        }
        if protocol.response.better == Better::More && reduction.is_none() {
            let what = "this trial looked for an increase, and plans are sized for a reduction";
            return Err(Error::new(folder.shown(TRIAL), what, "Give --reduction.").into());
        }
        reduction = reduction.or(Some(protocol.decision.worthwhile_percent));
        alpha = alpha.or(Some(protocol.decision.alpha));
        methods = methods.or(Some(protocol.treatments.len().saturating_sub(1)));
        let own = protocol.response.cores_per_plot;
        if cores.is_empty() {
            cores = vec![own.div_ceil(2), own, 2 * own];
            cores.dedup();
        }
        core_area = Some(protocol.response.core_area_m2);
        let text = match folder.optional_text(RESULTS)? {
            Some(text) => text,
            None => judged(&folder, seed)?,
        };
        past.push(read_results(&folder.shown(RESULTS), &text, core_area)?);
    }
    for path in &args.past {
        let name = path.display().to_string();
        past.push(read_results(&name, &read_text(path)?, core_area)?);
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
        blocks: each(&args.blocks),
        cores,
        looks: args.looks.clone(),
        spending: if args.even_looks {
            Spending::Pocock
        } else {
            looks::USUAL
        },
    };
    Ok((knowledge(args, &past, &mut warnings)?, wish, warnings))
}

/// Every number of the ranges, in the order in which they were given.
fn each(ranges: &[RangeInclusive<usize>]) -> Vec<usize> {
    ranges.iter().cloned().flatten().collect()
}

/// The results of a trial that has been counted but whose results were not kept: judged now.
fn judged(folder: &TrialFolder, seed: Option<u64>) -> Result<String, Refusal> {
    let trial = files::trial(folder, seed)?;
    let (judgement, _) = judge(&trial.data, trial.seed)?;
    let text = serde_json::to_string(&judgement).map_err(|e| {
        let what = format!("the judgement cannot be written as JSON ({e})");
        Error::new(
            folder.shown(RESULTS),
            what,
            "Please report this fault of the program.",
        )
    })?;
    Ok(text)
}

/// Spread of log block means where nothing is known: blocks then differ by about half. An assumption.
const BLOCK_SD: f64 = 0.4;

/// Past trials first; a number on the command line overrides what they say.
fn knowledge(
    args: &Args,
    past: &[PastTrial],
    warnings: &mut Vec<Warning>,
) -> Result<ParameterUncertainty, Error> {
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
        if args.k_plot.is_none() && each(&args.cores) != [1] {
            warnings.push(Warning {
                code: "clumps-within-plots",
                message: "k is taken as that of cores, with clumps smaller than a plot: further cores then help. If whole \
                          plots differ, --k-plot says how much."
                    .to_owned(),
                place: None,
            });
        }
        let ground = SiteParameters {
            mean: needed(args.mean, "--mean")?,
            k_sample: k_core,
            k_plot: f64::INFINITY,
            block_sd: BLOCK_SD,
            missing: args.missing,
        };
        ParameterUncertainty::certain(&ground)
    } else {
        from_past(past, args.missing)?
    };
    for (flag, value) in [
        ("--mean", args.mean),
        ("--k", args.k),
        ("--k-plot", args.k_plot),
        ("--block-sd", args.block_sd),
    ] {
        // 0 is left to the checks of the wish, which name the nearest possible plan.
        if let Some(value) = value
            && (value.is_nan() || value < 0.0)
        {
            let what = format!("{value} is below 0");
            return Err(Error::new(flag, what, "Give a number from 0 up."));
        }
    }
    let sure = |value: f64| Estimate {
        value: value.ln(),
        se: 0.0,
    };
    if let Some(mean) = args.mean {
        known.ln_mean = sure(mean);
    }
    if let Some(k) = args.k {
        known.ln_k_sample = sure(k);
        known.ln_k_plot = sure(f64::INFINITY);
    }
    if let Some((low, high)) = args.k_range {
        known.ln_k_sample = from_range(low, high, 0.9)?;
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
