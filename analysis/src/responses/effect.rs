//! What a treatment did to a response.

use serde::Serialize;

use crate::results::{Caution, Interval, PValue};

/// A treatment against the control.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Effect {
    /// Label of the treatment.
    pub treatment: usize,
    /// The difference (or ratio) that the test finds most plausible: with balanced blocks, that of means.
    pub estimate: f64,
    /// Median of the averages of all pairs of block differences (without blocks: of all differences
    /// between a treated and a control plot).
    pub hodges_lehmann: f64,
    /// Every effect that is not rejected; none when the design has too few allocations to reject any.
    pub interval: Option<Interval>,
    /// Two-sided p of the randomisation test.
    pub p: PValue,
    /// Adjusted for there being several treatments.
    pub p_adjusted: f64,
    /// Smallest p the design could give.
    pub smallest_attainable_p: f64,
    /// Chance that a treated plot has the higher value than a control plot of its block, ties by half.
    pub superiority: f64,
    /// What the reader must know.
    pub cautions: Vec<Caution>,
}
