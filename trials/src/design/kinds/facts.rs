//! What is known of a kind of design in words and yes or no, and how its plots are labelled.

/// What a kind of design is.
#[derive(Debug, Clone, Copy)]
pub struct Facts {
    /// Word in `trial.toml` and in JSON.
    pub key: &'static str,
    /// Name for people.
    pub name: &'static str,
    /// What the number of blocks counts: one of them, and several.
    pub blocks: [&'static str; 2],
    /// Blocks where the protocol gives no number; absent where it must.
    pub usual_blocks: Option<usize>,
    /// Within what plots are compared.
    pub structure: BlockStructure,
    /// What is drawn for.
    pub units: Units,
    /// Whether the control may have more plots than a method.
    pub more_control: bool,
    /// Whether the first of several factors goes on whole plots where nothing else is said.
    pub factor_on_whole_plots: bool,
}

impl Facts {
    /// A number of blocks in words: "1 pair", "6 pairs".
    #[must_use]
    pub fn counted(&self, blocks: usize) -> String {
        format!("{blocks} {}", self.blocks[usize::from(blocks != 1)])
    }

    /// Whether plots take turns over nights.
    #[must_use]
    pub fn over_nights(&self) -> bool {
        self.units == Units::PlotsInNights
    }

    /// Whether plots stand in blocks at all.
    #[must_use]
    pub fn has_blocks(&self) -> bool {
        self.structure != BlockStructure::Unblocked
    }

    /// Units on each plot: one, or one a night.
    pub(in crate::design) fn units_per_plot(&self, treatments: usize) -> usize {
        match self.units {
            Units::PlotsAlongTheWalk | Units::PlotsRowByRow => 1,
            Units::PlotsInNights => treatments,
        }
    }
}

/// What a treatment is drawn for, and in which order within a block.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Units {
    /// Plots in walking order.
    PlotsAlongTheWalk,
    /// Plots row by row.
    PlotsRowByRow,
    /// A plot in one of as many nights as there are treatments: plot by plot, night after night.
    PlotsInNights,
}

/// Within what plots are compared.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum BlockStructure {
    /// Nothing: all with all.
    Unblocked,
    /// Blocks or pairs.
    Blocks,
    /// Rows and columns.
    RowColumn,
    /// Blocks, and whole plots within them.
    SplitPlot,
}

/// Where a line of the layout stands; all numbers from 0.
#[derive(Debug, Clone, Copy)]
pub struct Position {
    /// Block.
    pub block: usize,
    /// Row in the block's array.
    pub row: usize,
    /// Column in the block's array.
    pub column: usize,
    /// Night, where plots take turns.
    pub night: usize,
    /// Whether there are several blocks.
    pub several_blocks: bool,
    /// Whether blocks carry the names of greens.
    pub several_greens: bool,
}

impl Position {
    /// A row's or column's number from 1, after its block's where there are several: rows of the second of two
    /// squares are rows of their own.
    #[must_use]
    pub fn in_block(&self, line: usize) -> String {
        if self.several_blocks {
            format!("{}.{}", self.block + 1, line + 1)
        } else {
            (line + 1).to_string()
        }
    }
}

/// What `layout.csv` says of where a plot stands.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Labels {
    /// Whether its block is named.
    pub block: bool,
    /// Row, or night.
    pub row: Option<String>,
    /// Column.
    pub column: Option<String>,
}
