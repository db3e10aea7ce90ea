//! One past trial: what its judgement says of the ground, whether at hand or kept in a file.

use halfgreen_analysis::distributions::normal_quantile;
use halfgreen_analysis::results::Estimate;
use serde::Serialize;

use crate::Error;
use crate::judgement::Judgement;

/// What one past trial says of its ground.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct PastTrial {
    /// Mean per core in its control plots.
    pub mean: f64,
    /// Standard error of that mean, where known.
    pub mean_se: Option<f64>,
    /// k of its plots, with its standard error (infinite where counts did not bound it).
    pub k: Estimate,
    /// Standard deviation of its log block means, with its standard error.
    pub block_sd: Option<Estimate>,
}

/// The figures of a judgement from which a past trial is made.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Figures {
    /// k of a plot's count; `None` where it scatters no more than Poisson.
    pub(super) k: Option<f64>,
    /// k of the plain fit, by which its own standard error is read.
    pub(super) plain_k: Option<f64>,
    /// Standard error of the plain fit's k.
    pub(super) plain_k_se: Option<f64>,
    /// Blocks.
    pub(super) blocks: usize,
    /// Standard deviation of the blocks' random effect.
    pub(super) block_sd: Option<f64>,
    /// Blocks of the plain fit beside the first.
    pub(super) block_effects: Vec<BlockEffect>,
    /// Mean of the control.
    pub(super) control: Mean,
    /// Area of a core in the unit of the mean: 1 for a mean per core.
    pub(super) core: f64,
}

/// A block of the plain fit beside the first, on the log scale.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct BlockEffect {
    pub(super) estimate: f64,
    pub(super) se: f64,
}

/// A mean with the interval it is given with.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Mean {
    pub(super) value: f64,
    pub(super) low: Option<f64>,
    pub(super) high: Option<f64>,
    /// Confidence level of the interval.
    pub(super) level: f64,
}

impl Mean {
    /// Standard error of the log mean: that of the normal law with the same interval at its level.
    fn log_se(&self) -> Option<f64> {
        let (low, high) = self.low.zip(self.high).filter(|(low, _)| *low > 0.0)?;
        let critical = normal_quantile(0.5 + 0.5 * self.level);
        Some((high / low).ln() / (2.0 * critical))
    }
}

impl PastTrial {
    /// What a judgement says of its ground: k and block spread of the model with random blocks where it has
    /// them, else of the plain one, and the control's mean. `core_area_m2` turns a mean per square metre into one
    /// per core.
    ///
    /// # Errors
    /// A judgement without a mean of the control.
    pub fn of(judgement: &Judgement, core_area_m2: f64) -> Result<Self, Error> {
        let control = judgement.contrasts.first().map(|c| &c.control);
        let mean = judgement
            .means
            .iter()
            .find(|m| Some(&m.treatment) == control);
        let mean = mean.ok_or_else(|| {
            let what = "the judgement holds no mean of the control";
            Error::new("means", what, "Count plots of the control.")
        })?;
        Ok(Self::from_figures(&Figures {
            k: judgement.dispersion.k,
            plain_k: judgement.model.k,
            plain_k_se: judgement.model.k_se,
            blocks: judgement.units.blocks,
            block_sd: judgement.dispersion.block_sd.first().copied(),
            block_effects: block_effects(judgement),
            control: Mean {
                value: mean.mean,
                low: mean.low,
                high: mean.high,
                level: 1.0 - judgement.alpha,
            },
            core: if judgement.per == "m2" {
                core_area_m2
            } else {
                1.0
            },
        }))
    }

    pub(super) fn from_figures(figures: &Figures) -> Self {
        let k = figures.k.unwrap_or(f64::INFINITY);
        let mean = figures.core * figures.control.value;
        Self {
            mean,
            mean_se: figures.control.log_se().map(|se| se * mean),
            k: Estimate {
                value: k,
                se: log_error(figures.plain_k, figures.plain_k_se) * k,
            },
            block_sd: random_spread(figures).or_else(|| fixed_spread(&figures.block_effects)),
        }
    }
}

/// The plain fit's blocks beside the first, by the names of the blocks.
fn block_effects(judgement: &Judgement) -> Vec<BlockEffect> {
    let mut blocks: Vec<&str> = Vec::new();
    for block in judgement.plots.iter().filter_map(|p| p.block.as_deref()) {
        if !blocks.contains(&block) {
            blocks.push(block);
        }
    }
    let terms: Vec<String> = blocks.iter().map(|b| format!("block[{b}]")).collect();
    let of_blocks = judgement.model.coefficients.iter();
    of_blocks
        .filter(|c| terms.contains(&c.term))
        .filter_map(|c| {
            Some(BlockEffect {
                estimate: c.estimate?,
                se: c.se?,
            })
        })
        .collect()
}

/// Standard error of log k by the plain fit; infinite where that fit did not bound k.
fn log_error(k: Option<f64>, se: Option<f64>) -> f64 {
    match (k, se) {
        (Some(k), Some(se)) if k > 0.0 => se / k,
        _ => f64::INFINITY,
    }
}

/// Block spread of the model with random blocks. Its error is at least that of a standard deviation from
/// as many normal values: 1 / sqrt(2 (blocks - 1)) of itself.
fn random_spread(figures: &Figures) -> Option<Estimate> {
    let (value, blocks) = (figures.block_sd?, figures.blocks as f64);
    (value > 0.0 && blocks > 1.0).then(|| Estimate {
        value,
        se: value / (2.0 * (blocks - 1.0)).sqrt(),
    })
}

/// Spread of the block terms less what their own errors explain; the reference level stands at 0.
fn fixed_spread(blocks: &[BlockEffect]) -> Option<Estimate> {
    if blocks.is_empty() {
        return None;
    }
    let n = (blocks.len() + 1) as f64;
    let mean = blocks.iter().map(|b| b.estimate).sum::<f64>() / n;
    let deviations = blocks.iter().map(|b| (b.estimate - mean).powi(2));
    let squares = mean * mean + deviations.sum::<f64>();
    // The error of a difference of two blocks has twice the variance of one block's.
    let error = blocks.iter().map(|b| b.se * b.se).sum::<f64>() / (2.0 * blocks.len() as f64);
    let variance = squares / (n - 1.0) - error;
    let whole = squares / (n - 1.0);
    (variance > 0.0).then(|| Estimate {
        value: variance.sqrt(),
        // Sampling error of a variance on n - 1 degrees of freedom, halved for its root.
        se: 0.5 * whole * (2.0 / (n - 1.0)).sqrt() / variance.sqrt(),
    })
}
