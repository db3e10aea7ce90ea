//! Choices beyond the kind of design: what blocks stand for, where plots point, which draws are allowed.

use serde::Serialize;

/// Optional choices of a design. The default asks for nothing special.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
pub struct Arrangement {
    /// Direction of a plot's length, degrees anticlockwise from east (mowing line, slope, wind);
    /// absent: along the axes, turned only where they do not fit.
    pub angle_deg: Option<f64>,
    /// Direction in which the ground changes (wet to dry, shade to sun, rough to middle), degrees anticlockwise from
    /// east; absent where none is known.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub gradient_deg: Option<f64>,
    /// What the plots of a block share.
    pub block_by: BlockBy,
    /// Plots of the control in each block, or as a multiple of the others in a completely
    /// randomised design; absent: one.
    pub control_plots: Option<usize>,
    /// Split plot: codes of the treatments that share a whole plot, one list for each kind of whole
    /// plot, all of one length.
    pub whole_plots: Vec<Vec<String>>,
    /// What a draw must satisfy; draws that do not are thrown away.
    pub rules: Vec<Rule>,
    /// What the order of treatments over the nights of a crossover is balanced for.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub balance: Option<Balance>,
    /// The greens of a trial on several, in order; empty for a trial on one.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub greens: Vec<GreenShare>,
    /// Count before treatment of each plot, by its number, for [`BlockBy::BeforeCounts`].
    pub before: Vec<f64>,
}

/// A green's part in a trial on several.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct GreenShare {
    /// Name, which its blocks carry.
    pub name: String,
    /// File of its outline, in the trial folder.
    pub outline: String,
    /// Blocks on it; absent to share the blocks out by room.
    pub blocks: Option<usize>,
}

/// What the plots of a block share.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum BlockBy {
    /// They lie close together.
    #[default]
    Position,
    /// They lie in one zone of the green, close together.
    Zones,
    /// They lie about equally far from the edge, from which larvae walk in.
    EdgeDistance,
    /// They had similar counts before treatment.
    BeforeCounts,
}

/// What the order of treatments over nights is balanced for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Balance {
    /// Every treatment follows every other equally often, so that what one leaves behind in a plot falls on
    /// all others alike.
    CarryOver,
}

/// What a draw must satisfy.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Rule {
    /// No treatment on two plots with successive numbers.
    NotTwiceInARow,
    /// No block with its treatments in the same order as in the block before it.
    NotLikeTheBlockBefore,
    /// Every treatment in the middle of its blocks, on the whole, along [`Arrangement::gradient_deg`], or along and across
    /// the plots where no direction is stated.
    BalancedAlongGradient,
}
