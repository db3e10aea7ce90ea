//! How many had left the larval stage already: is it late for a night against larvae?
//!
//! Limits take the plot for the unit, since animals of one plot are alike (`halfgreen_analysis::exact::clustered_limits`). No calendar
//! and no sum of degrees is added: none was found that is published for turf and tested elsewhere.

use std::collections::BTreeMap;

use halfgreen_analysis::exact::clustered_limits;
use serde::Serialize;

/// How stages after the larva are written: pupae, empty cases and flies (common practice, no source).
const PAST: [&str; 6] = ["pupa", "emerg", "adult", "fly", "case", "exuvia"];

/// Animals by stage.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Emergence {
    /// Found in the larval stage.
    pub larvae: u64,
    /// Found past it.
    pub emerged: u64,
    /// Share past it; null where nothing was found.
    pub share: Option<f64>,
    /// Lower limit.
    pub low: f64,
    /// Upper limit.
    pub high: f64,
}

/// Sums animals that were found as (plot, stage, number), with limits of confidence `level`.
#[must_use]
pub fn emergence<'a>(
    found: impl IntoIterator<Item = (&'a str, &'a str, u64)>,
    level: f64,
) -> Emergence {
    let mut plots: BTreeMap<&str, (u64, u64)> = BTreeMap::new();
    for (plot, stage, number) in found {
        let stage = stage.to_lowercase();
        let plot = plots.entry(plot).or_default();
        plot.1 += number;
        if PAST.iter().any(|past| stage.contains(past)) {
            plot.0 += number;
        }
    }
    let plots: Vec<(u64, u64)> = plots.into_values().collect();
    let emerged: u64 = plots.iter().map(|p| p.0).sum();
    let of: u64 = plots.iter().map(|p| p.1).sum();
    let limits = clustered_limits(&plots, level);
    Emergence {
        larvae: of - emerged,
        emerged,
        share: (of > 0).then(|| emerged as f64 / of as f64),
        low: limits.low,
        high: limits.high,
    }
}
