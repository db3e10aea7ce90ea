//! What a plan's blocks and samples are called in the design that it is for.

use super::sample_size_request::PlanSize;
use crate::design::{Protocol, Sample};

/// Words of a plan, and how many plots of each treatment one of its design's blocks holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Terms {
    /// One block of the design, and several: "pair", "pairs".
    pub blocks: [&'static str; 2],
    /// Plots of each treatment in one; plans are sized in plots of each treatment.
    pub plots_of_each: usize,
    /// What one sample is.
    pub sample: Sample,
}

impl Default for Terms {
    fn default() -> Self {
        Self {
            blocks: ["block", "blocks"],
            plots_of_each: 1,
            sample: Sample::Core,
        }
    }
}

impl Terms {
    /// The words of a protocol.
    #[must_use]
    pub fn of(protocol: &Protocol) -> Self {
        let kind = protocol.design.kind;
        Self {
            blocks: kind.facts().blocks,
            plots_of_each: kind.plots_of_each(&protocol.asked()).max(1),
            sample: protocol.response.sample,
        }
    }

    /// Blocks of the design for so many plots of each treatment.
    #[must_use]
    pub fn design_blocks(&self, plots_of_each: usize) -> usize {
        plots_of_each.div_ceil(self.plots_of_each)
    }

    /// So many blocks of the design in words.
    #[must_use]
    pub fn counted(&self, blocks: usize) -> String {
        format!("{blocks} {}", self.blocks[usize::from(blocks != 1)])
    }

    /// What a plan's first number is counted in: blocks of the design, or plots where a block holds several of each
    /// treatment.
    #[must_use]
    pub fn plots_axis(&self) -> &'static str {
        if self.plots_of_each == 1 {
            self.blocks[1]
        } else {
            "plots of each treatment"
        }
    }

    /// A plan in words: "16 pairs with 10 cores in each plot".
    #[must_use]
    pub fn plan(&self, size: PlanSize) -> String {
        let blocks = self.counted(self.design_blocks(size.blocks));
        format!(
            "{blocks} with {} in each plot",
            self.samples(size.cores_per_plot)
        )
    }

    /// So many samples in words.
    #[must_use]
    pub fn samples(&self, n: usize) -> String {
        self.sample.number(n)
    }
}
