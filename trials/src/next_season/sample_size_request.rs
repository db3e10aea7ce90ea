//! What is wished of the next trial, and what to say to an impossible request.

use halfgreen_analysis::power::assurance::ParameterUncertainty;
use halfgreen_analysis::power::blocked;
use halfgreen_analysis::power::simulated::{Plan, SiteParameters};
use halfgreen_analysis::sequential::spending::{Spending, boundaries};
use serde::Serialize;

use super::terms::Terms;
use crate::Error;
use crate::ranges::request::{
    NEXT_ALPHA, NEXT_BLOCKS, NEXT_CORES, NEXT_K, NEXT_POWER, NEXT_REDUCTION,
};
use crate::ranges::{Range, shown};
use crate::text::spelling::number;

/// What is asked of the next trial, in shares (0.75 for 75 per cent).
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SampleSizeRequest {
    /// Reduction that the trial must be able to find: the smallest worth having.
    pub reduction: f64,
    /// Methods compared with the control.
    pub methods: usize,
    /// Error rate of the headline test.
    pub alpha: f64,
    /// Chance with which that reduction must be found.
    pub power: f64,
    /// Numbers of blocks to try; empty to let the formula choose ten.
    pub blocks: Vec<usize>,
    /// Numbers of cores per plot to try.
    pub cores_per_plot: Vec<usize>,
    /// Shares of the information at which the trial may be judged, the last one 1; empty for one judgement
    /// at the end.
    pub looks: Vec<f64>,
    /// How alpha is spent over the looks.
    pub spending: Spending,
    /// What its blocks and samples are called.
    #[serde(skip)]
    pub terms: Terms,
}

/// Size of a plan.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct PlanSize {
    /// Complete blocks.
    pub blocks: usize,
    /// Cores in each plot.
    pub cores_per_plot: usize,
}

/// A plan to name when the request itself cannot be met.
const USUAL: PlanSize = PlanSize {
    blocks: 8,
    cores_per_plot: 4,
};
/// Smallest alpha, and largest power, that a nearest possible plan is worked out for.
const SMALL: f64 = 0.001;
/// Clumping beyond any that counts on a green have shown; used only to name a nearest plan.
const CLUMPED: f64 = 0.1;

impl SampleSizeRequest {
    /// Refuses a request that no trial can meet, with the reason and the nearest that one can.
    ///
    /// # Errors
    /// A reduction, alpha or power outside (0, 1), no method, no blocks or cores, or ground that no
    /// green has.
    pub fn check(&self, parameter_uncertainty: &ParameterUncertainty) -> Result<(), Error> {
        let site = parameter_uncertainty.centre();
        let k = site.k_sample.min(site.k_plot);
        if !NEXT_K.holds(k) {
            return Err(Error::in_field(
                "k",
                NEXT_K.fault(&shown(k)),
                format!(
                    "k comes from counts (the smaller, the more clumped). At {CLUMPED}: {}",
                    self.nearest(&SiteParameters {
                        k_sample: CLUMPED,
                        k_plot: f64::INFINITY,
                        ..site
                    })
                ),
            ));
        }
        parameter_uncertainty.check()?;
        if !NEXT_REDUCTION.holds(100.0 * self.reduction) {
            return Err(Error::in_field(
                "reduction",
                NEXT_REDUCTION.fault(&shown(100.0 * self.reduction)),
                format!(
                    "Ask for the smallest reduction worth having. {}",
                    self.seen(&site)
                ),
            ));
        }
        if !NEXT_ALPHA.holds(self.alpha) {
            let strict = Self {
                alpha: SMALL,
                ..self.clone()
            };
            return Err(Error::in_field(
                "alpha",
                NEXT_ALPHA.fault(&shown(self.alpha)),
                format!("0.05 is usual. At {SMALL}: {}", strict.nearest(&site)),
            ));
        }
        if !NEXT_POWER.holds(self.power) {
            let strict = Self {
                power: 1.0 - SMALL,
                ..self.clone()
            };
            return Err(Error::in_field(
                "power",
                NEXT_POWER.fault(&shown(self.power)),
                format!(
                    "0.8 is usual. At {}: {}",
                    1.0 - SMALL,
                    strict.nearest(&site)
                ),
            ));
        }
        if self.methods == 0 || self.cores_per_plot.is_empty() {
            return Err(Error::in_field(
                "cores",
                "there is nothing to compare or nothing to count",
                "Name at least one method and at least one core for each plot.",
            ));
        }
        Self::sizes(NEXT_BLOCKS, &self.blocks)?;
        Self::sizes(NEXT_CORES, &self.cores_per_plot)?;
        if !self.looks.is_empty() {
            boundaries(&self.looks, self.alpha, self.spending).map_err(|refused| {
                let refused = Error::from(refused);
                Error::in_field("looks", refused.what, refused.cure)
            })?;
        }
        Ok(())
    }

    /// Refuses numbers of blocks or cores that no trial has.
    fn sizes(range: Range, numbers: &[usize]) -> Result<(), Error> {
        match numbers.iter().find(|n| !range.holds_whole(**n as u64)) {
            None => Ok(()),
            Some(n) => Err(Error::in_field(
                range.name,
                range.fault(&n.to_string()),
                range.cure(),
            )),
        }
    }

    /// The plan of this size with the wished reduction by every method.
    #[must_use]
    pub fn plan(&self, size: PlanSize) -> Plan {
        Plan {
            blocks: size.blocks,
            samples: size.cores_per_plot,
            ratios: vec![1.0 - self.reduction; self.methods.max(1)],
        }
    }

    /// The nearest possible plan, by formula.
    fn nearest(&self, site: &SiteParameters) -> String {
        let power = if self.power > 0.0 && self.power < 1.0 {
            self.power
        } else {
            0.8
        };
        let reduction = if self.reduction > 0.0 && self.reduction <= 1.0 {
            self.reduction
        } else {
            0.5
        };
        let alpha = if self.alpha > 0.0 && self.alpha < 1.0 {
            self.alpha
        } else {
            0.05
        };
        let request = Self {
            reduction,
            ..self.clone()
        };
        let plan = request.plan(USUAL);
        match blocked::blocks_for(&plan, site, alpha, power, 1000) {
            Ok(Some(blocks)) => {
                let blocks = number(blocks, "block");
                format!(
                    "about {blocks} with {} cores in each plot.",
                    USUAL.cores_per_plot
                )
            }
            _ => "more than 1 000 blocks: beyond any green.".to_owned(),
        }
    }

    /// The smallest reduction that a usual plan can see, by formula.
    fn seen(&self, site: &SiteParameters) -> String {
        let plan = self.plan(USUAL);
        let alpha = if self.alpha > 0.0 && self.alpha < 1.0 {
            self.alpha
        } else {
            0.05
        };
        match blocked::smallest_reduction(&plan, site, alpha, 0.8) {
            Ok(Some(share)) => format!(
                "With {} blocks and {} cores a plot, about {:.0} per cent is the smallest that could be seen.",
                USUAL.blocks,
                USUAL.cores_per_plot,
                (100.0 * share).ceil()
            ),
            _ => format!(
                "With {} blocks and {} cores a plot, not even 100 per cent could be seen.",
                USUAL.blocks, USUAL.cores_per_plot
            ),
        }
    }
}
