//! `next`: how large the next trial must be.

mod knowledge;
mod question;
mod words;

use std::path::PathBuf;

use serde::{Deserialize, Serialize};

use super::{Answer, Refusal, Surroundings};
use crate::next_season::after_trial;
use crate::next_season::next_trial::{NextTrial, next_trial};
use crate::next_season::pictures::power_curves;
use crate::next_season::prices::Prices;
use crate::ranges::request::{
    NEXT_BLOCK_SD, NEXT_COST, NEXT_K, NEXT_K_PLOT, NEXT_LOOK, NEXT_LOOKS, NEXT_MEAN, NEXT_METHODS,
    NEXT_MISSING, NEXT_NIGHTS, NEXT_TRIALS,
};
use crate::ranges::within_limits;
use crate::store::NewFile;
use crate::{Error, Warning};
use question::question;

/// What is asked of `next`. A number given here goes before what past trials say.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Request {
    /// Folder of a judged trial to learn from.
    pub dir: Option<PathBuf>,
    /// Results of further past trials, pooled with it.
    pub past: Vec<PathBuf>,
    /// Clumping k of counts per core: variance m + m^2 / k.
    pub k: Option<f64>,
    /// Range that k lies in with 90 per cent, instead of one value.
    pub k_range: Option<(f64, f64)>,
    /// Clumping of whole plots of a block beyond that of their cores.
    pub k_plot: Option<f64>,
    /// Mean count of a core in untreated ground.
    pub mean: Option<f64>,
    /// Smallest reduction worth having, per cent; if not given, that of the trial.
    pub reduction: Option<f64>,
    /// Standard deviation of the log mean between blocks.
    pub block_sd: Option<f64>,
    /// Cores in each plot to try; none for those near what the last trial took.
    pub cores: Vec<usize>,
    /// Blocks to try; none for ten that suit.
    pub blocks: Vec<usize>,
    /// Methods compared with the control; if not given, those of the trial, or one.
    pub methods: Option<usize>,
    /// Error rate of the headline test; if not given, that of the trial, or 0.05.
    pub alpha: Option<f64>,
    /// Chance with which the reduction must be found.
    pub power: f64,
    /// Share of plots that will be lost.
    pub missing: f64,
    /// Shares of the counting at which the trial may be judged before its end.
    pub looks: Vec<f64>,
    /// Let early looks take an even part of alpha instead of next to nothing.
    pub even_looks: bool,
    /// Cost of a plot without its cores.
    pub cost_plot: Option<f64>,
    /// Cost of a core.
    pub cost_core: Option<f64>,
    /// Cost of a sheet on one plot for one night.
    pub cost_sheet_night: Option<f64>,
    /// Nights under the sheet.
    pub nights: f64,
    /// Cost of one person for one hour; counts where minutes are given.
    pub cost_hour: Option<f64>,
    /// People's minutes for a plot.
    pub minutes_plot: Option<f64>,
    /// People's minutes for a core.
    pub minutes_core: Option<f64>,
    /// Simulated trials for each plan, at most; if not given, as many as the report of the trial in `dir` takes, or 2000
    /// without one.
    pub trials: Option<usize>,
    /// Folder for the power curves.
    pub out: Option<PathBuf>,
    /// Seed of the simulated trials: the answer is the same each time it is asked.
    pub seed: Option<u64>,
}

impl Default for Request {
    fn default() -> Self {
        Self {
            dir: None,
            past: Vec::new(),
            k: None,
            k_range: None,
            k_plot: None,
            mean: None,
            reduction: None,
            block_sd: None,
            cores: Vec::new(),
            blocks: Vec::new(),
            methods: None,
            alpha: None,
            power: 0.8,
            missing: 0.0,
            looks: Vec::new(),
            even_looks: false,
            cost_plot: None,
            cost_core: None,
            cost_sheet_night: None,
            cost_hour: None,
            nights: 1.0,
            minutes_plot: None,
            minutes_core: None,
            trials: None,
            out: None,
            seed: None,
        }
    }
}

/// Simulated trials for each plan where there is no trial whose report must say the same.
const TRIALS_OF_NUMBERS: usize = 2000;

/// Sizes the next trial.
///
/// # Errors
/// Neither past trials nor numbers to go by; a wish that no trial can meet, with the nearest that one can.
pub fn run(request: &Request, at: &Surroundings<'_>) -> Result<Answer<NextTrial>, Refusal> {
    checked(request)?;
    let question = question(request, at.sources)?;
    let mut warnings = question.warnings;
    let wanted = &question.wanted;
    let known = knowledge::knowledge(request, &question.past, &mut warnings)?;
    let usual = if question.trial.is_some() {
        after_trial::TRIALS
    } else {
        TRIALS_OF_NUMBERS
    };
    let trials = request.trials.unwrap_or(usual);
    let seed = request.seed.unwrap_or(after_trial::SEED);
    let simulation = after_trial::simulation(wanted, trials, seed, false);
    let answer = if let Some(trial) = &question.trial {
        let after = trial.after();
        let prices = prices(request, after.prices());
        after.plan(wanted, &known, &prices, &simulation, at.progress)?
    } else {
        let prices = prices(request, Prices::default());
        next_trial((wanted, None), &known, &prices, &simulation, at.progress)?
    };
    warnings.extend(unpriced_hours(&answer.assumptions.prices));
    let mut words = words::words(&answer);
    let mut files = Vec::new();
    if let Some(dir) = &request.out {
        let picture = power_curves(&answer)?;
        files.push(NewFile::own("next", dir, "power-curves.svg", picture));
        words.written(&files);
    }
    warnings.extend(answer.cautions.iter().cloned().map(Warning::from));
    Ok(Answer::new(answer, words)
        .with_warnings(warnings)
        .with_files(files)
        .with_seed(seed))
}

/// Refuses what contradicts itself, and numbers outside their limits.
fn checked(request: &Request) -> Result<(), Refusal> {
    let mut given = vec![
        (NEXT_K_PLOT, request.k_plot),
        (NEXT_MEAN, request.mean),
        (NEXT_BLOCK_SD, request.block_sd),
        (NEXT_METHODS, request.methods.map(|n| n as f64)),
        (NEXT_MISSING, Some(request.missing)),
        (NEXT_NIGHTS, Some(request.nights)),
        (NEXT_TRIALS, request.trials.map(|n| n as f64)),
        (NEXT_COST.named("cost_plot"), request.cost_plot),
        (NEXT_COST.named("cost_core"), request.cost_core),
        (
            NEXT_COST.named("cost_sheet_night"),
            request.cost_sheet_night,
        ),
        (NEXT_COST.named("minutes_plot"), request.minutes_plot),
        (NEXT_COST.named("minutes_core"), request.minutes_core),
        (
            NEXT_LOOKS.named("looks"),
            (request.looks.len() as f64).max(1.0).into(),
        ),
    ];
    let ends = request.k_range.into_iter().flat_map(<[f64; 2]>::from);
    given.extend(ends.map(|k| (NEXT_K.named("k_range"), Some(k))));
    given.extend(request.looks.iter().map(|look| (NEXT_LOOK, Some(*look))));
    within_limits(&given)?;
    let contradiction = if request.k.is_some() && request.k_range.is_some() {
        Some(("k_range", "k is given as one value and as a range"))
    } else if request.even_looks && request.looks.is_empty() {
        Some(("even_looks", "there are no looks to share alpha among"))
    } else {
        None
    };
    match contradiction {
        None => Ok(()),
        Some((field, what)) => Err(Error::in_field(field, what, "Leave it out.").into()),
    }
}

/// What things cost: as the request says, else as the protocol does.
fn prices(request: &Request, told: Prices) -> Prices {
    Prices {
        plot: request.cost_plot.or(told.plot),
        core: request.cost_core.or(told.core),
        sheet_night: request.cost_sheet_night.or(told.sheet_night),
        person_hour: request.cost_hour.or(told.person_hour),
        nights: request.nights,
        plot_minutes: request.minutes_plot.or(told.plot_minutes),
        core_minutes: request.minutes_core.or(told.core_minutes),
    }
}

/// That an hour has a price which enters nothing.
fn unpriced_hours(prices: &Prices) -> Option<Warning> {
    let timed = prices.plot_minutes.is_some() || prices.core_minutes.is_some();
    (prices.person_hour.is_some() && !timed).then(|| Warning {
        code: "hours-not-counted",
        message: "an hour has a price, but no minutes are given: --minutes-plot and --minutes-core let it count".to_owned(),
        place: None,
    })
}
