//! Which test leads: fixed by the design, before anything is counted.

use serde::Serialize;

/// The test on which a verdict rests.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Lead {
    /// Re-allocation of treatments within what the design allowed.
    Randomisation,
    /// Calibrated likelihood ratio of the count model.
    Model,
}

/// Share of alpha that re-allocation must be able to use in order to lead.
const USED: f64 = 0.9;

/// The test that leads where re-allocation can give p-values that are multiples of `smallest_p`.
///
/// Re-allocation leads when its largest p-value at or below `alpha` is at least nine tenths of `alpha`:
/// from 7 pairs, or 5 plots against 5, at 5 %. Below that it would throw away more than a tenth of
/// the error rate that was granted, and with 5 pairs or fewer all of it.
#[must_use]
pub fn lead(smallest_p: f64, alpha: f64) -> Lead {
    // The ratio of 0.05 and 2/40 must count as 1, whatever the last bit says.
    let steps = (alpha / smallest_p + 1e-9).floor();
    if steps * smallest_p >= USED * alpha {
        Lead::Randomisation
    } else {
        Lead::Model
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn seven_pairs_are_enough_at_five_per_cent() {
        let pairs = |n: i32| lead(2.0 / 2_f64.powi(n), 0.05);
        for n in 1..7 {
            assert_eq!(pairs(n), Lead::Model, "{n}");
        }
        for n in 7..30 {
            assert_eq!(pairs(n), Lead::Randomisation, "{n}");
        }
        assert_eq!(lead(2.0 / 70.0, 0.05), Lead::Model);
        assert_eq!(lead(2.0 / 252.0, 0.05), Lead::Randomisation);
        assert_eq!(lead(2.0 / 40.0, 0.05), Lead::Randomisation);
    }
}
