//! The power of any analysis: draw trials like the planned one, analyse each, count the verdicts.
//!
//! A trial has complete blocks of one control and one or more methods. A block multiplies the mean by
//! a log-normal factor of mean 1, a plot by a gamma factor of mean 1 and shape `k_plot`, and a sample's
//! count is negative binomial with `k_sample` about that mean, so that a plot of c samples holds a count of
//! mean c m and, given its plot factor, k of c `k_sample`. Plots are lost independently.
//!
//! Trial i draws from stream i of its cell, and verdicts are added in order: the same seed gives the
//! same table on any number of threads. The analysis is an argument. When not to use it: for an
//! analysis that takes a second a trial.

use std::ops::Range;

use rand_distr::{Distribution as _, Gamma, StandardNormal};
use rayon::prelude::*;
use serde::Serialize;

use crate::Error;
use crate::distributions::negative_binomial;
use crate::error::above_zero;
use crate::random::Generator;

/// A planned trial.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Plan {
    /// Complete blocks.
    pub blocks: usize,
    /// Samples counted in each plot.
    pub samples: usize,
    /// True mean of each method over that of the control; one plot of each in every block.
    pub ratios: Vec<f64>,
}

/// True parameters of the site on which it is laid.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct SiteParameters {
    /// Mean count of a sample without treatment.
    pub mean: f64,
    /// Negative binomial k of samples within a plot; infinite for Poisson.
    pub k_sample: f64,
    /// Negative binomial k between plots of a block; infinite where plots differ by chance alone.
    pub k_plot: f64,
    /// Standard deviation of the log mean between blocks.
    pub block_sd: f64,
    /// Chance that a plot is lost.
    pub missing: f64,
}

/// One drawn trial: only the plots that were not lost, block by block, control first.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct SimulatedTrial {
    /// Total count of each plot over its samples.
    pub counts: Vec<u64>,
    /// Treatment of each plot: 0 for the control, then the methods in order.
    pub treatments: Vec<usize>,
    /// Block of each plot, from 0.
    pub blocks: Vec<usize>,
    /// Samples in every plot.
    pub samples: usize,
    /// Blocks of the plan, whatever was lost.
    pub planned_blocks: usize,
}

impl Plan {
    /// Refuses a plan that is not a trial.
    ///
    /// # Errors
    /// No blocks, no samples, no method, or a ratio that is negative or not finite.
    pub fn check(&self) -> Result<(), Error> {
        above_zero("blocks", self.blocks as f64, false)?;
        above_zero("samples per plot", self.samples as f64, false)?;
        above_zero("methods", self.ratios.len() as f64, false)?;
        match self.ratios.iter().find(|r| !(r.is_finite() && **r >= 0.0)) {
            None => Ok(()),
            Some(bad) => Err(Error::new(
                "mean ratio",
                format!("{bad}"),
                "a method's mean over the control's is a finite number from 0",
                "give 0.25 for a reduction of 75 per cent",
            )),
        }
    }

    /// Plots in all.
    #[must_use]
    pub fn plots(&self) -> usize {
        self.blocks * (1 + self.ratios.len())
    }
}

impl SiteParameters {
    /// Refuses parameters that no site has.
    ///
    /// # Errors
    /// A mean or k not above 0, a negative block spread, a chance of loss outside [0, 1).
    pub fn check(&self) -> Result<(), Error> {
        above_zero("mean per sample", self.mean, false)?;
        above_zero("k between samples", self.k_sample, true)?;
        above_zero("k between plots", self.k_plot, true)?;
        if !(self.block_sd.is_finite() && self.block_sd >= 0.0) {
            return Err(Error::new(
                "block spread",
                format!("{}", self.block_sd),
                "the standard deviation of log block means is a finite number from 0",
                "give 0 for a uniform site, about 0.4 for blocks that differ by half",
            ));
        }
        if !(0.0..1.0).contains(&self.missing) {
            return Err(Error::new(
                "chance of a lost plot",
                format!("{}", self.missing),
                "it must be at least 0 and below 1",
                "give 0.05 for one plot in twenty",
            ));
        }
        Ok(())
    }
}

/// Draws one trial into `trial`, whose buffers are reused.
pub fn draw(
    plan: &Plan,
    site: &SiteParameters,
    generator: &mut Generator,
    trial: &mut SimulatedTrial,
) {
    trial.counts.clear();
    trial.treatments.clear();
    trial.blocks.clear();
    trial.samples = plan.samples;
    trial.planned_blocks = plan.blocks;
    let samples = plan.samples as f64;
    for block in 0..plan.blocks {
        let z: f64 = StandardNormal.sample(generator);
        let sd = site.block_sd;
        let level = site.mean * samples * (sd * z - 0.5 * sd * sd).exp();
        for (treatment, ratio) in std::iter::once(&1.0).chain(&plan.ratios).enumerate() {
            let spot = if site.k_plot.is_infinite() {
                1.0
            } else {
                Gamma::new(site.k_plot, 1.0 / site.k_plot).map_or(1.0, |law| law.sample(generator))
            };
            let mean = level * ratio * spot;
            let count = negative_binomial::draw(generator, mean, samples * site.k_sample);
            if generator.unit() < site.missing {
                continue;
            }
            trial.counts.push(count);
            trial.treatments.push(treatment);
            trial.blocks.push(block);
        }
    }
}

/// Draws the trials of a range, each from a stream of its own, and asks something of each: answers in order, the same on any
/// number of threads. The generator that drew a trial is handed on behind it.
pub(super) fn each_trial<G, T: Send>(
    plan: &Plan,
    site: &G,
    range: Range<usize>,
    (seed, cell): (u64, u32),
    ask: impl Fn(&SimulatedTrial, &mut Generator) -> T + Sync,
) -> Vec<T>
where
    G: Fn(&mut Generator) -> SiteParameters + Sync,
{
    range
        .into_par_iter()
        .map_init(SimulatedTrial::default, |trial, replicate| {
            let stream = u64::from(cell) << 32 | replicate as u64;
            let mut generator = Generator::new(seed, stream);
            let site = site(&mut generator);
            draw(plan, &site, &mut generator, trial);
            ask(trial, &mut generator)
        })
        .collect()
}

/// How much to simulate.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct SimulationBudget {
    /// Trials at most.
    pub trials: usize,
    /// Stop early once it is clear on which side of this share the first verdict lies.
    pub until_clear_of: Option<f64>,
}

/// Trials between two looks at whether the answer is clear.
pub const BATCH: usize = 250;
/// Looks before the first whole batch: most plans of a table are far from the wished share, and that shows soon.
const EARLY: [usize; 2] = [50, 100];

/// The answer is clear when an interval of this many standard errors excludes the wanted share:
/// about 1 in 1 000 looks is then wrong even when the truth sits on the line.
pub(super) const CLEAR: f64 = 3.29;

/// Operating characteristics: shares of verdicts among simulated trials.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct OperatingCharacteristics {
    /// Trials that ended in each verdict, in the order the analysis numbers them.
    pub verdicts: Vec<usize>,
    /// Trials drawn.
    pub trials: usize,
    /// Whether it stopped before all trials because the answer was clear.
    pub clear: bool,
}

impl OperatingCharacteristics {
    /// Share of verdict `which`; 0 for one that the analysis does not have.
    #[must_use]
    pub fn share(&self, which: usize) -> f64 {
        let hits = self.verdicts.get(which).copied().unwrap_or(0);
        hits as f64 / self.trials.max(1) as f64
    }

    /// Monte-Carlo standard error of that share, never 0: with no hits it is that of half a hit.
    #[must_use]
    pub fn se(&self, which: usize) -> f64 {
        let n = self.trials.max(1) as f64;
        let share = self.share(which).clamp(0.5 / n, 1.0 - 0.5 / n);
        (share * (1.0 - share) / n).sqrt()
    }

    /// Wilson's interval for the first share at [`CLEAR`] excludes `line`.
    fn clear_of(&self, line: f64) -> bool {
        let n = self.trials as f64;
        let distance = (self.share(0) - line).abs();
        // Score form: the spread at the line itself.
        distance > CLEAR * (line * (1.0 - line) / n).sqrt()
    }
}

/// Simulates trials and shares out their verdicts.
///
/// `site` gives each trial its parameters (fixed, or drawn anew when they are uncertain); `verdict` analyses
/// a trial and returns the number of its verdict, below `kinds`: number 0 is the one whose share is the
/// power. `cell` separates the streams of different plans under one seed.
///
/// # Errors
/// A plan that is not a trial, no trials, or no verdicts.
pub fn operating_characteristics<G, V>(
    plan: &Plan,
    site: G,
    (effort, kinds): (SimulationBudget, usize),
    (seed, cell): (u64, u32),
    verdict: V,
) -> Result<OperatingCharacteristics, Error>
where
    G: Fn(&mut Generator) -> SiteParameters + Sync,
    V: Fn(&SimulatedTrial) -> usize + Sync,
{
    plan.check()?;
    above_zero("trials to simulate", effort.trials as f64, false)?;
    above_zero("kinds of verdict", kinds as f64, false)?;
    let mut all = OperatingCharacteristics {
        verdicts: vec![0; kinds],
        trials: 0,
        clear: false,
    };
    while all.trials < effort.trials {
        let from = all.trials;
        let early = EARLY
            .into_iter()
            .find(|look| effort.until_clear_of.is_some() && *look > from);
        let to = early
            .unwrap_or((from / BATCH + 1) * BATCH)
            .min(effort.trials);
        let verdict = |trial: &SimulatedTrial, _: &mut Generator| verdict(trial);
        let batch = each_trial(plan, &site, from..to, (seed, cell), verdict);
        for which in batch {
            all.verdicts[which.min(kinds - 1)] += 1;
        }
        all.trials = to;
        if effort.until_clear_of.is_some_and(|line| all.clear_of(line)) {
            all.clear = to < effort.trials;
            break;
        }
    }
    Ok(all)
}

/// Power of a yes-or-no test at fixed parameters: the share of `true`.
///
/// # Example
/// How often eight pairs show fewer under treatment than beside it in at least seven, when the treatment halves counts.
/// ```
/// use halfgreen_analysis::power::simulated::{Plan, SimulatedTrial, SimulationBudget, SiteParameters, power};
///
/// let plan = Plan { blocks: 8, samples: 4, ratios: vec![0.5] };
/// let site = SiteParameters { mean: 5.0, k_sample: 0.8, k_plot: f64::INFINITY, block_sd: 0.4, missing: 0.0 };
/// let budget = SimulationBudget { trials: 400, until_clear_of: None };
/// let sign_test = |trial: &SimulatedTrial| {
///     trial.counts.chunks(2).filter(|pair| pair[1] < pair[0]).count() >= 7
/// };
///
/// let found = power(&plan, &site, budget, (1, 0), sign_test)?;
/// assert!(found.share(0) > 0.3 && found.se(0) < 0.03);
/// # Ok::<(), halfgreen_analysis::Error>(())
/// ```
///
/// # Errors
/// As [`operating_characteristics`], and parameters that no site has.
pub fn power<V>(
    plan: &Plan,
    site: &SiteParameters,
    effort: SimulationBudget,
    (seed, cell): (u64, u32),
    test: V,
) -> Result<OperatingCharacteristics, Error>
where
    V: Fn(&SimulatedTrial) -> bool + Sync,
{
    site.check()?;
    let fixed = |_: &mut Generator| *site;
    operating_characteristics(plan, fixed, (effort, 2), (seed, cell), |trial| {
        usize::from(!test(trial))
    })
}
