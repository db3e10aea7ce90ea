//! How small a p-value the draw can give.

use super::scheme::Scheme;
use crate::Error;

/// The smallest two-sided p-values that the randomisation test of one treatment against the control can reach.
#[derive(Debug, Clone, Copy, PartialEq, serde::Serialize)]
pub struct AttainableP {
    /// When all treatments are re-drawn: the share of allocations that put the two on their own plots, and on
    /// each other's where both have as many plots. The largest over treatments.
    pub smallest_p: f64,
    /// The same when only these two are exchanged and all others stay, as must be when the others may work;
    /// absent for squares and split plots and under rules, where exchanges are not free.
    pub smallest_p_exchanging_two: Option<f64>,
}

/// Attainable p-values of a design without rules; with them see
/// [`attainable_p_under`](super::attainable_p_under).
///
/// # Errors
/// A Latin square above order 11.
pub fn attainable_p(scheme: &Scheme) -> Result<AttainableP, Error> {
    let found = scheme
        .randomisation
        .attainable_p(scheme.control, scheme.blocks.len())?;
    Ok(AttainableP {
        smallest_p: found.smallest_p.min(1.0),
        smallest_p_exchanging_two: found.smallest_p_exchanging_two.map(|p| p.min(1.0)),
    })
}
