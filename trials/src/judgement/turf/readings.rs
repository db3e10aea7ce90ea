//! One reading for each plot: the mean of its places.

use crate::trial_data::PlotCount;

/// Readings of every plot, averaged.
#[derive(Debug, Default)]
pub(super) struct Readings {
    pub(super) plots: Vec<PlotCount>,
    pub(super) inside: Vec<f64>,
    /// 0 unless an edge is read.
    pub(super) outside: Vec<f64>,
    /// Plots without any reading.
    pub(super) missing: Vec<String>,
}

impl Readings {
    /// Sums to means; plots without a reading become missing ones.
    pub(super) fn averaged(self) -> Self {
        let mut kept = Self {
            missing: self.missing,
            ..Self::default()
        };
        for (at, plot) in self.plots.into_iter().enumerate() {
            if plot.cores == 0 {
                kept.missing.push(plot.plot);
                continue;
            }
            kept.inside.push(self.inside[at] / plot.cores as f64);
            kept.outside.push(self.outside[at] / plot.cores as f64);
            kept.plots.push(plot);
        }
        kept
    }
}
