//! A layout: where each plot lies, which block it is in, what it was drawn to get.

use serde::Serialize;

/// A laid-out and randomised trial, in the order plots are numbered.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Layout {
    /// The plots.
    pub plots: Vec<Plot>,
}

impl Layout {
    /// Names of the plots, each once, in order: a crossover lists a plot once for each night.
    #[must_use]
    pub fn names(&self) -> Vec<&str> {
        let mut names: Vec<&str> = Vec::with_capacity(self.plots.len());
        for plot in &self.plots {
            if !names.contains(&plot.plot.as_str()) {
                names.push(&plot.plot);
            }
        }
        names
    }

    /// The plots on one of several greens.
    #[must_use]
    pub fn on_green(&self, name: &str) -> Self {
        let here = |p: &&Plot| p.green.as_deref() == Some(name);
        Self {
            plots: self.plots.iter().filter(here).cloned().collect(),
        }
    }
}

/// One plot. The place is that of its centre, in metres on the outline's own axes.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Plot {
    /// Number or name, as painted on the peg.
    pub plot: String,
    /// Block, where the design has blocks.
    pub block: Option<String>,
    /// Green, in a trial on several; `layout.csv` has its name before the block's number.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub green: Option<String>,
    /// Row of a Latin square, or night of a crossover.
    pub row: Option<String>,
    /// Column of a Latin square.
    pub column: Option<String>,
    /// Code of the treatment drawn.
    pub treatment: String,
    /// East of the origin, metres.
    pub x_m: f64,
    /// North of the origin, metres.
    pub y_m: f64,
    /// Length, metres.
    pub length_m: f64,
    /// Width, metres.
    pub width_m: f64,
    /// Direction of the length, degrees anticlockwise from east.
    pub angle_deg: f64,
}
