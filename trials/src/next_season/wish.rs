//! What is wished of the next trial, and what to say to an impossible wish.

use halfgreen_analysis::power::assurance::ParameterUncertainty;
use halfgreen_analysis::power::blocked;
use halfgreen_analysis::power::simulated::{Plan, SiteParameters};
use halfgreen_analysis::sequential::spending::Spending;
use serde::Serialize;

use crate::Error;
use crate::text::spelling::number;

/// A wish, in shares (0.75 for 75 per cent).
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Wish {
    /// Reduction that the trial must be able to find: the smallest worth having.
    pub reduction: f64,
    /// Methods compared with the control.
    pub methods: usize,
    /// Error rate of the headline test.
    pub alpha: f64,
    /// Chance with which that reduction must be found.
    pub power: f64,
    /// Numbers of blocks to try; empty to let the preview choose ten.
    pub blocks: Vec<usize>,
    /// Numbers of cores per plot to try.
    pub cores: Vec<usize>,
    /// Shares of the information at which the trial may be judged, the last one 1; empty for one judgement
    /// at the end.
    pub looks: Vec<f64>,
    /// How alpha is spent over the looks.
    pub spending: Spending,
}

/// A plan to name when the wish itself cannot be met: eight blocks of four cores.
const USUAL: (usize, usize) = (8, 4);
/// Smallest alpha, and largest power, that a nearest possible plan is worked out for.
const SMALL: f64 = 0.001;
/// More blocks, or cores in a plot, than any green has room for.
pub const MOST: usize = 1000;
/// Clumping beyond any that counts on a green have shown; used only to name a nearest plan.
const CLUMPED: f64 = 0.1;

impl Wish {
    /// Refuses a wish that no trial can meet, with the reason and the nearest that one can.
    ///
    /// # Errors
    /// A reduction, alpha or power outside (0, 1), no method, no blocks or cores, or ground that no
    /// green has.
    pub fn check(&self, known: &ParameterUncertainty) -> Result<(), Error> {
        let ground = known.centre();
        if ground.k_plot <= 0.0 || ground.k_sample <= 0.0 {
            return Err(Error::new(
                "--k",
                "k is 0 or less, which means clumps without bound: no number of plots would do",
                format!(
                    "k comes from counts (the smaller, the more clumped). At {CLUMPED}: {}",
                    self.nearest(&SiteParameters {
                        k_sample: CLUMPED,
                        k_plot: f64::INFINITY,
                        ..ground
                    })
                ),
            ));
        }
        known.check()?;
        if !(self.reduction > 0.0 && self.reduction <= 1.0) {
            return Err(Error::new(
                "--reduction",
                format!(
                    "a reduction of {} per cent is no effect that a trial could find",
                    100.0 * self.reduction
                ),
                format!(
                    "Ask for the smallest reduction worth having. {}",
                    self.seen(&ground)
                ),
            ));
        }
        if !(self.alpha > 0.0 && self.alpha < 1.0) {
            let strict = Self {
                alpha: SMALL,
                ..self.clone()
            };
            return Err(Error::new(
                "--alpha",
                format!(
                    "an error rate of {} never lets a trial find anything, or always",
                    self.alpha
                ),
                format!("0.05 is usual. At {SMALL}: {}", strict.nearest(&ground)),
            ));
        }
        if !(self.power > 0.0 && self.power < 1.0) {
            let strict = Self {
                power: 1.0 - SMALL,
                ..self.clone()
            };
            return Err(Error::new(
                "--power",
                format!("a power of {} is out of reach of chance", self.power),
                format!(
                    "0.8 is usual. At {}: {}",
                    1.0 - SMALL,
                    strict.nearest(&ground)
                ),
            ));
        }
        if self.methods == 0 || self.cores.is_empty() {
            return Err(Error::new(
                "--cores",
                "there is nothing to compare or nothing to count",
                "Name at least one method and at least one core for each plot.",
            ));
        }
        Self::sizes("--blocks", &self.blocks)?;
        Self::sizes("--cores", &self.cores)
    }

    /// Refuses numbers of blocks or cores that no trial has.
    fn sizes(flag: &str, numbers: &[usize]) -> Result<(), Error> {
        match numbers.iter().find(|n| **n == 0 || **n > MOST) {
            None => Ok(()),
            Some(n) => Err(Error::new(
                flag,
                format!("{n} is not a number that a trial could have"),
                format!("Give whole numbers from 1 to {MOST}."),
            )),
        }
    }

    /// The plan with these numbers and the wished reduction by every method.
    #[must_use]
    pub fn plan(&self, blocks: usize, cores: usize) -> Plan {
        Plan {
            blocks,
            samples: cores,
            ratios: vec![1.0 - self.reduction; self.methods.max(1)],
        }
    }

    /// The nearest possible plan, by the preview.
    fn nearest(&self, ground: &SiteParameters) -> String {
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
        let wish = Self {
            reduction,
            ..self.clone()
        };
        let plan = wish.plan(USUAL.0, USUAL.1);
        match blocked::blocks_for(&plan, ground, alpha, power, 1000) {
            Ok(Some(blocks)) => {
                let blocks = number(blocks, "block");
                format!("about {blocks} with {} cores in each plot.", USUAL.1)
            }
            _ => "more than 1 000 blocks: beyond any green.".to_owned(),
        }
    }

    /// The smallest reduction that a usual plan can see, by the preview.
    fn seen(&self, ground: &SiteParameters) -> String {
        let plan = self.plan(USUAL.0, USUAL.1);
        let alpha = if self.alpha > 0.0 && self.alpha < 1.0 {
            self.alpha
        } else {
            0.05
        };
        match blocked::smallest_reduction(&plan, ground, alpha, 0.8) {
            Ok(Some(share)) => format!(
                "With {} blocks and {} cores a plot, about {:.0} per cent is the smallest that could be seen.",
                USUAL.0,
                USUAL.1,
                (100.0 * share).ceil()
            ),
            _ => format!(
                "With {} blocks and {} cores a plot, not even 100 per cent could be seen.",
                USUAL.0, USUAL.1
            ),
        }
    }
}
