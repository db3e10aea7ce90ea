//! What the verdict is about, where a trial lies on several greens or a block holds several plots of a treatment.

use serde::{Deserialize, Serialize};

use super::{BlockStructure, Protocol};

/// Greens (or blocks) from which the verdict may speak of others like them where nothing else is written: from two
/// nobody can see how much they differ (one degree of freedom; its t at 5 % is 12.7).
pub const ENOUGH: usize = 3;

/// What the verdict is about: the inference space.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum VerdictAbout {
    /// These greens (or blocks) and no others: plots are the error.
    These,
    /// Greens (or blocks) like these: how far the effect differs between them is the error.
    LikeThese,
}

/// What it speaks of.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Grouping {
    /// Greens.
    Green,
    /// Blocks.
    Block,
}

impl Grouping {
    /// One of them.
    #[must_use]
    pub fn one(self) -> &'static str {
        match self {
            Self::Green => "green",
            Self::Block => "block",
        }
    }

    /// Several of them.
    #[must_use]
    pub fn several(self) -> &'static str {
        match self {
            Self::Green => "greens",
            Self::Block => "blocks",
        }
    }
}

impl VerdictAbout {
    /// Where nothing is written: of this many groups.
    #[must_use]
    pub fn usual(groups: usize) -> Self {
        if groups >= ENOUGH {
            Self::LikeThese
        } else {
            Self::These
        }
    }

    /// The other one.
    #[must_use]
    pub fn other(self) -> Self {
        match self {
            Self::These => Self::LikeThese,
            Self::LikeThese => Self::These,
        }
    }

    /// Word in `trial.toml`, in the seal and in JSON: "greens-like-these".
    #[must_use]
    pub fn key(self, grouping: Grouping) -> String {
        match self {
            Self::These => format!("these-{}", grouping.several()),
            Self::LikeThese => format!("{}-like-these", grouping.several()),
        }
    }

    /// Where it is: "on greens like these".
    #[must_use]
    pub fn place(self, grouping: Grouping) -> String {
        let at = match grouping {
            Grouping::Green => "on",
            Grouping::Block => "in",
        };
        match self {
            Self::These => format!("{at} these {}", grouping.several()),
            Self::LikeThese => format!("{at} {} like these", grouping.several()),
        }
    }
}

impl Protocol {
    /// What the verdict is about; `None` where there is one green only, or no counts are taken.
    ///
    /// Greens of a split plot, of a crossover and of a trial without blocks are always these: their draws do not
    /// repeat a whole trial on every green.
    #[must_use]
    pub fn verdict_about(&self) -> Option<VerdictAbout> {
        let greens = self.design.arrangement.greens.len();
        if greens < 2 || !self.response.kind.is_count() {
            return None;
        }
        if !self.repeats_on_greens() {
            return Some(VerdictAbout::These);
        }
        let written = self.decision.verdict_about;
        Some(written.unwrap_or_else(|| VerdictAbout::usual(greens)))
    }

    /// Whether every green holds a trial of its own, so that effects can be compared from green to green.
    #[must_use]
    pub fn repeats_on_greens(&self) -> bool {
        let facts = self.design.kind.facts();
        let within = [BlockStructure::Blocks, BlockStructure::RowColumn];
        within.contains(&facts.structure) && !facts.over_nights()
    }

    /// Degrees of freedom for error, where those of plots are `plots`.
    #[must_use]
    pub fn error_df(&self, plots: usize) -> usize {
        if self.verdict_about() == Some(VerdictAbout::LikeThese) {
            (self.treatments.len() - 1) * (self.design.arrangement.greens.len() - 1)
        } else {
            plots
        }
    }
}
