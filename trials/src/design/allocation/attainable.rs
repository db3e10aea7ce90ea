//! How small a p-value the draw can give.

use num_bigint::BigUint;

use super::combinations::power;
use super::scheme::Scheme;
use crate::Error;

/// The smallest two-sided p-values that the randomisation test of one treatment against the control can reach: shares
/// of the allocations with the two on their own plots, or on each other's where both have as many, for then the
/// difference is as large. The largest over treatments.
#[derive(Debug, Clone, Copy, PartialEq, serde::Serialize)]
pub struct AttainableP {
    /// When all treatments are re-drawn.
    pub smallest_p: f64,
    /// The same when only these two are exchanged and all others stay, as must be when the others may work;
    /// absent for squares and split plots and under rules, where exchanges are not free.
    pub smallest_p_exchanging_two: Option<f64>,
}

impl AttainableP {
    /// That of the test as it is carried out: where exchanges are free two are exchanged, else all are re-drawn. The
    /// seal, the choice of the headline test and the judgement all ask here.
    #[must_use]
    pub fn of_the_test(&self) -> f64 {
        self.smallest_p_exchanging_two.unwrap_or(self.smallest_p)
    }
}

/// How often, among the allocations of a block, a treatment and the control lie on given units.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Staying {
    /// Allocations that have the two there.
    pub staying: BigUint,
    /// Of so many.
    pub all: BigUint,
    /// Allocations in which only the two change places; absent where that is not free.
    pub exchanging: Option<BigUint>,
    /// Whether the two have as many units each, so that changing places gives the mirror image.
    pub mirrored: bool,
}

impl Staying {
    /// Two with the mirror image, else one.
    fn sides(&self) -> f64 {
        if self.mirrored { 2.0 } else { 1.0 }
    }

    /// Smallest p-value with so many blocks when all treatments are re-drawn.
    fn smallest_p(&self, blocks: usize) -> f64 {
        let (staying, all) = (power(&self.staying, blocks), power(&self.all, blocks));
        let share = if all.is_finite() {
            staying / all
        } else {
            // Either may pass the largest float where their ratio does not.
            let exponent = i32::try_from(blocks).unwrap_or(i32::MAX);
            (power(&self.staying, 1) / power(&self.all, 1)).powi(exponent)
        };
        (self.sides() * share).min(1.0)
    }
}

/// Attainable p-values of each treatment but the control when all treatments are re-drawn, in the order of the
/// protocol; a design without rules.
///
/// # Errors
/// A Latin square above order 11.
pub fn attainable_p_of_each(scheme: &Scheme) -> Result<Vec<f64>, Error> {
    let each = staying(scheme)?;
    let blocks = scheme.blocks.len();
    Ok(each.iter().map(|s| s.smallest_p(blocks)).collect())
}

/// Attainable p-values of a design without rules; with them see
/// [`attainable_p_under`](super::attainable_p_under).
///
/// # Errors
/// A Latin square above order 11.
pub fn attainable_p(scheme: &Scheme) -> Result<AttainableP, Error> {
    let each = staying(scheme)?;
    let blocks = scheme.blocks.len();
    let exchanging = |s: &Staying| {
        let ways = power(s.exchanging.as_ref()?, blocks);
        Some((s.sides() / ways).min(1.0))
    };
    let exchanged: Option<Vec<f64>> = each.iter().map(exchanging).collect();
    Ok(AttainableP {
        smallest_p: each
            .iter()
            .map(|s| s.smallest_p(blocks))
            .fold(0.0, f64::max),
        smallest_p_exchanging_two: exchanged.map(|p| p.into_iter().fold(0.0, f64::max)),
    })
}

fn staying(scheme: &Scheme) -> Result<Vec<Staying>, Error> {
    let others = (0..scheme.treatments).filter(|&x| x != scheme.control);
    others
        .map(|x| scheme.randomisation.staying(x, scheme.control))
        .collect()
}
