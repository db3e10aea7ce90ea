//! One contrast at one ratio: t of transformed counts and, where treatments differ in k, of counts as they are.

use super::contrast_estimate::ContrastEstimate;
use crate::multiplicity::dunnett::CriticalCurve;

/// A contrast at a ratio.
#[derive(Debug, Clone, Copy)]
pub(super) struct ContrastTest {
    /// Of transformed counts, less their conditional expectations.
    pub(super) transformed: ContrastEstimate,
    /// Of untransformed counts over their means; both must then agree.
    pub(super) untransformed: Option<ContrastEstimate>,
}

impl ContrastTest {
    /// Every comparison that must reject.
    fn both(&self) -> impl Iterator<Item = &ContrastEstimate> {
        std::iter::once(&self.transformed).chain(&self.untransformed)
    }

    /// By how much t lies beyond its bound on this side (1 above, -1 below), of both the smaller; never above where a bound is infinite.
    pub(super) fn beyond(&self, side: f64, bound: &CriticalCurve) -> f64 {
        let one = |contrast: &ContrastEstimate| {
            let bound = bound.at(contrast.df);
            if bound.is_infinite() {
                return -1.0;
            }
            // Infinite where nothing scatters: held to what a search can work with.
            (side * contrast.t()).clamp(-1e9, 1e9) - bound
        };
        self.both().map(one).fold(f64::INFINITY, f64::min)
    }

    /// Whether it is rejected on either side.
    pub(super) fn rejects(&self, bound: &CriticalCurve) -> bool {
        [1.0, -1.0].into_iter().any(|side| {
            let exceeds = |c: &ContrastEstimate| bound.exceeded_by(side * c.t(), c.df);
            self.both().all(exceeds)
        })
    }

    /// Two-sided p of this contrast alone, of both the larger.
    pub(super) fn p(&self) -> f64 {
        self.larger(self.both().map(ContrastEstimate::p))
    }

    /// The larger of two p-values, one for each comparison; 1 where they point to different sides.
    pub(super) fn larger(&self, p: impl Iterator<Item = f64>) -> f64 {
        let apart = (self.untransformed)
            .is_some_and(|other| other.estimate * self.transformed.estimate < 0.0);
        if apart { 1.0 } else { p.fold(0.0, f64::max) }
    }
}
