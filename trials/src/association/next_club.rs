//! What the next club may expect: where its true effect may lie, told as so many of twenty clubs.

use halfgreen_analysis::comparison::{Better, Question};
use halfgreen_analysis::distributions::{normal_sf, t_sf};
use halfgreen_analysis::meta_analysis::Pooled;
use serde::Serialize;

/// Clubs of which the shares are told.
pub(super) const OF: f64 = 20.0;

/// Trials from which on a share of clubs is told: with fewer, how far clubs differ is a guess, and a share made of it would look
/// surer than it is. (Two trials give an interval without use, as its one degree of freedom says.) Common practice, no source.
const ENOUGH: usize = 3;

/// The true effect at a club that is drawn from the same clubs as those pooled.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct NextClub {
    /// Lower limit of the ratio there.
    pub ratio_low: f64,
    /// Upper limit.
    pub ratio_high: f64,
    /// Share of such clubs where the method is better than the control at all.
    pub share_better: f64,
    /// Share of such clubs where it is better by what would be worth having.
    pub share_worthwhile: f64,
}

impl NextClub {
    /// By the law of the prediction interval: t about the average, with the variance between clubs and that of the average.
    pub(super) fn of(pooled: &Pooled, question: &Question) -> Option<Self> {
        if pooled.weights.len() < ENOUGH {
            return None;
        }
        let (low, high) = (pooled.prediction_low?, pooled.prediction_high?);
        let spread = (pooled.tau2 + pooled.standard_error.powi(2)).sqrt();
        let below = |ratio: f64| {
            let distance = (pooled.effect - ratio.ln()) / spread;
            pooled
                .degrees_of_freedom
                .map_or_else(|| normal_sf(distance), |df| t_sf(distance, df))
        };
        let beyond = |ratio: f64| match question.better {
            Better::Fewer => below(ratio),
            Better::More => 1.0 - below(ratio),
        };
        Some(Self {
            ratio_low: low.exp(),
            ratio_high: high.exp(),
            share_better: beyond(1.0),
            share_worthwhile: beyond(question.worthwhile_ratio),
        })
    }
}
