//! One reading for each plot: the mean of its places.

use crate::trial_data::Unit;

/// A plot and what was read in it: sums over its places, or their means.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct ReadPlot {
    pub(super) plot: String,
    pub(super) treatment: String,
    pub(super) block: Option<String>,
    pub(super) row: Option<String>,
    pub(super) column: Option<String>,
    /// The reading; inside the edge where an edge is read.
    pub(super) inside: f64,
    /// Outside the edge; 0 unless an edge is read.
    pub(super) outside: f64,
    /// Places read.
    pub(super) places: usize,
}

impl ReadPlot {
    /// The plot as its design sees it.
    pub(super) fn unit(&self) -> Unit<'_> {
        Unit {
            plot: &self.plot,
            treatment: &self.treatment,
            block: self.block.as_deref(),
            row: self.row.as_deref(),
            column: self.column.as_deref(),
        }
    }
}

/// Readings of every plot, averaged.
#[derive(Debug, Default)]
pub(super) struct Readings {
    pub(super) plots: Vec<ReadPlot>,
    /// Plots without any reading.
    pub(super) missing: Vec<String>,
}

impl Readings {
    /// Sums to means; plots without a reading become missing ones.
    pub(super) fn averaged(sums: Vec<ReadPlot>) -> Self {
        let mut all = Self::default();
        for mut plot in sums {
            if plot.places == 0 {
                all.missing.push(plot.plot);
                continue;
            }
            plot.inside /= plot.places as f64;
            plot.outside /= plot.places as f64;
            all.plots.push(plot);
        }
        all
    }
}
