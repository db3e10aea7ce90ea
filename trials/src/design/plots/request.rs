//! What is asked for, and what comes back.

use crate::Error;

/// Smallest plot side accepted and offered as a cure, metres.
pub(in crate::design) const LEAST_SIDE: f64 = 0.1;

/// How the plots of one block stand to each other.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Shape {
    /// This many plots, in any compact array.
    Compact(usize),
    /// Exactly this many rows by this many columns.
    Array(usize, usize),
}

impl Shape {
    /// Plots in a block.
    #[must_use]
    pub fn plots(self) -> usize {
        match self {
            Self::Compact(plots) => plots,
            Self::Array(rows, columns) => rows * columns,
        }
    }

    /// Arrays to try, as rows and columns.
    pub(super) fn arrays(self) -> Vec<(usize, usize)> {
        match self {
            Self::Array(rows, columns) => vec![(rows, columns)],
            Self::Compact(plots) => (1..=plots)
                .map(|rows| (rows, plots.div_ceil(rows)))
                .filter(|&(rows, columns)| (rows - 1) * columns < plots)
                .collect(),
        }
    }
}

/// What must fit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Request {
    /// Along the plot, metres.
    pub length_m: f64,
    /// Across the plot, metres.
    pub width_m: f64,
    /// Strip kept free round each plot, metres.
    pub guard_m: f64,
    /// Direction of the length, degrees anticlockwise from east; `None` to search.
    pub angle_deg: Option<f64>,
    /// Blocks wanted.
    pub blocks: usize,
    /// Shape of a block.
    pub shape: Shape,
    /// Whether a refusal tells which smaller plots would fit: that takes as long as five more searches.
    pub advise: bool,
}

impl Request {
    /// Checks that sizes are lengths and that something is asked for.
    ///
    /// # Errors
    /// The first that is not.
    pub(super) fn sizes(&self) -> Result<(), Error> {
        for (name, value, least) in [
            ("length_m", self.length_m, LEAST_SIDE),
            ("width_m", self.width_m, LEAST_SIDE),
            ("guard_m", self.guard_m, 0.0),
        ] {
            if !value.is_finite() || value < least {
                return Err(Error::new(
                    format!("trial.toml [plot] {name}"),
                    format!("{value} m is too small or no length"),
                    format!("Give metres, {least} or more."),
                ));
            }
        }
        if self.blocks == 0 || self.shape.plots() == 0 {
            return Err(Error::new(
                "trial.toml [design] blocks",
                "no blocks are asked for",
                "Ask for one block at least.",
            ));
        }
        Ok(())
    }
}

/// A place for one plot.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Site {
    /// East of the origin, metres, of the plot's centre.
    pub x_m: f64,
    /// North of the origin, metres.
    pub y_m: f64,
    /// Block, from 0, in walking order.
    pub block: usize,
    /// Row in the block's array, from 0.
    pub row: usize,
    /// Column in the block's array, from 0.
    pub column: usize,
}

/// Sites found.
#[derive(Debug, Clone, PartialEq)]
pub struct Placement {
    /// The sites in walking order, block by block.
    pub sites: Vec<Site>,
    /// Direction of the plots' length, degrees anticlockwise from east.
    pub angle_deg: f64,
    /// Most complete blocks that any trial of the search held.
    pub most_blocks: usize,
}
