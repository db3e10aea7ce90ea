//! Judging a trial before its end: what each look asks for, and what looking costs.

use halfgreen_analysis::distributions::normal_quantile;
use halfgreen_analysis::sequential::spending::{Look, Spending, boundaries, crossing};
use serde::Serialize;

use super::sample_size_request::SampleSizeRequest;
use crate::Error;

/// Interim looks of a plan.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Looks {
    /// Each look's share of the information and its boundary: stop when p is at or below `p`.
    pub looks: Vec<Look>,
    /// Chance that the wished reduction ends the trial at each look, were the counts normal.
    pub stop_probability: Vec<f64>,
    /// Their sum: the power with looks.
    pub power: f64,
    /// Power without looks, from which it was worked out.
    pub power_without: f64,
}

/// Boundaries for the wished looks and the end, which is judged in any case, and their effect on a plan whose
/// single-look power is `power`; `None` when no looks are wished.
///
/// # Errors
/// Looks that do not rise to at most 1.
pub fn looks(request: &SampleSizeRequest, power: f64) -> Result<Option<Looks>, Error> {
    if request.looks.is_empty() {
        return Ok(None);
    }
    let mut shares = request.looks.clone();
    if shares.last().is_some_and(|last| *last < 1.0) {
        shares.push(1.0);
    }
    let looks = boundaries(&shares, request.alpha, request.spending)?;
    // A simulated power of 0 or 1 is only known to a part in a thousand.
    let known = power.clamp(0.001, 0.999);
    let shift = normal_quantile(1.0 - 0.5 * request.alpha) + normal_quantile(known);
    let stop_probability = crossing(&looks, shift)?;
    let with = stop_probability.iter().sum();
    Ok(Some(Looks {
        looks,
        stop_probability,
        power: with,
        power_without: power,
    }))
}

/// The spending rule used unless another is named: little early, nearly all at the end.
pub const USUAL: Spending = Spending::ObrienFleming;
