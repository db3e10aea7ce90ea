//! Four calls, and the practical relevance of a difference.

use serde::{Deserialize, Serialize};

use crate::results::Interval;

/// Which direction is good.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Better {
    /// Fewer is better.
    Fewer,
    /// More is better.
    More,
}

impl Better {
    /// Ratio of treatment to control that is better by a share: 0.5 for half as many, 1.5 for half as many again.
    #[must_use]
    pub fn ratio_by(self, share: f64) -> f64 {
        match self {
            Self::Fewer => 1.0 - share,
            Self::More => 1.0 + share,
        }
    }
}

/// What is asked, fixed before counting.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Question {
    /// Chance of a false claim that is accepted, over all treatments together.
    pub alpha: f64,
    /// Which direction is good.
    pub better: Better,
    /// Ratio of treatment to control that would just be worth having: below 1 where fewer is
    /// better (0.5 for half), above 1 where more is.
    pub worthwhile_ratio: f64,
}

/// What the trial says of a treatment.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Call {
    /// The primary test finds a difference in the good direction.
    BeatTheControl,
    /// The primary test finds a difference in the bad direction.
    DidWorse,
    /// No difference found, and the interval rules out one worth having.
    TooSmallToMatter,
    /// No difference found, and one worth having is not ruled out.
    CannotTell,
}

/// Practical relevance: where the confidence interval lies beside the worthwhile ratio.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Relevance {
    /// The whole interval lies beyond the worthwhile ratio.
    Established,
    /// The worthwhile ratio lies inside the interval.
    Undecided,
    /// The whole interval falls short of the worthwhile ratio.
    Excluded,
}

impl Question {
    /// Whether a ratio lies in the good direction.
    #[must_use]
    pub fn is_good(&self, ratio: f64) -> bool {
        match self.better {
            Better::Fewer => ratio < 1.0,
            Better::More => ratio > 1.0,
        }
    }

    /// Practical relevance by the confidence interval of the ratio.
    #[must_use]
    pub fn relevance(&self, interval: &Interval) -> Relevance {
        let (nearest, farthest) = match self.better {
            Better::Fewer => (
                self.worthwhile_ratio - interval.high,
                self.worthwhile_ratio - interval.low,
            ),
            Better::More => (
                interval.low - self.worthwhile_ratio,
                interval.high - self.worthwhile_ratio,
            ),
        };
        if nearest >= 0.0 {
            Relevance::Established
        } else if farthest >= 0.0 {
            Relevance::Undecided
        } else {
            Relevance::Excluded
        }
    }

    /// The call: whether the primary test found a difference, the estimate, and what the interval
    /// says of the worthwhile ratio.
    #[must_use]
    pub fn call(&self, found: bool, ratio: f64, relevance: Relevance) -> Call {
        match (found, relevance) {
            (true, _) if self.is_good(ratio) => Call::BeatTheControl,
            (true, _) => Call::DidWorse,
            (false, Relevance::Excluded) => Call::TooSmallToMatter,
            (false, Relevance::Established | Relevance::Undecided) => Call::CannotTell,
        }
    }
}
