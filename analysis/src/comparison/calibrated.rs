//! The likelihood ratio brought to the t scale, and the profile interval cut there.

use super::marginal::Marginal;
use crate::arithmetic::roots;
use crate::mixed::MarginalFit;
use crate::mixed::block::RandomBlock;

/// How far the likelihood ratio of wholly clumped counts runs ahead of that of normal errors.
/// Chosen of 0.15, 0.20, 0.25 and 0.30 by preliminary simulations (4 000 to 5 000 trials a cell, not
/// kept), in which 0.20 still let single cells above 6 %; the calibration bench, run afterwards with
/// another seed, finds at most 5.5 % in every cell.
const RUN_AHEAD: f64 = 0.25;

/// Logs of ratios beyond this are as good as none: e^40 is 10^17.
const FARTHEST: f64 = 40.0;

/// Share of a plot's variance that is clumping: mean/k / (1 + mean/k).
#[must_use]
pub fn share_of_clumping(inverse_k: f64, mean: f64) -> f64 {
    let x = inverse_k * mean;
    x / (1.0 + x)
}

/// What turns a likelihood ratio into a t: see the page of the [folder](super).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Calibration {
    /// Plots less groups of ground.
    pub within: f64,
    /// `within` less treatments and covariates: the degrees of freedom.
    pub df: f64,
    /// Mean count of a plot.
    pub mean: f64,
}

impl Calibration {
    /// t for a likelihood ratio between two fits with these 1/k; never negative.
    #[must_use]
    pub fn t(&self, likelihood_ratio: f64, inverse_k: (f64, f64)) -> f64 {
        let share = share_of_clumping(0.5 * (inverse_k.0 + inverse_k.1), self.mean);
        let calibrated = likelihood_ratio.max(0.0) / (1.0 + RUN_AHEAD * share.sqrt());
        (self.df * (calibrated / self.within).exp_m1()).sqrt()
    }
}

/// A likelihood that can be maximised with one coefficient held.
pub(crate) trait Maximised {
    /// The maximum, with coefficient `held.0` at `held.1`, searched from `start`.
    fn held(&self, held: (usize, f64), start: &MarginalFit) -> MarginalFit;
}

impl Maximised for Marginal<'_> {
    fn held(&self, held: (usize, f64), start: &MarginalFit) -> MarginalFit {
        self.fit(Some(held), Some(start))
    }
}

impl Maximised for RandomBlock<'_> {
    fn held(&self, held: (usize, f64), start: &MarginalFit) -> MarginalFit {
        self.fit(Some(held), Some(start), false)
    }
}

/// A profile along one coefficient.
#[derive(Debug)]
pub(crate) struct Profile<'p, M> {
    model: &'p M,
    full: &'p MarginalFit,
    column: usize,
    calibration: Calibration,
}

impl<'p, M: Maximised> Profile<'p, M> {
    /// Of `column` about the maximum `full`.
    pub(crate) fn new(
        model: &'p M,
        full: &'p MarginalFit,
        column: usize,
        calibration: Calibration,
    ) -> Self {
        Self {
            model,
            full,
            column,
            calibration,
        }
    }

    /// Distance of a value of the coefficient from its estimate, on the t scale.
    pub(crate) fn t(&self, value: f64) -> f64 {
        let held = self.model.held((self.column, value), self.full);
        let ratio = 2.0 * (self.full.log_likelihood - held.log_likelihood);
        self.calibration
            .t(ratio, (self.full.inverse_k, held.inverse_k))
    }

    /// Where the distance reaches `bound`, going down (`side` = -1) or up (+1) from `from`;
    /// infinite where it never does.
    pub(crate) fn limit(&self, from: f64, side: f64, bound: f64) -> f64 {
        let mut near = from;
        let mut reach = 0.25;
        let end = FARTHEST + from.abs();
        loop {
            let far = from + side * reach;
            if self.t(far) > bound {
                let root = roots::brent(|x| self.t(x) - bound, near, far, 1e-7);
                return root.map_or(far, |r| r.x);
            }
            near = far;
            reach *= 2.0;
            if reach > end {
                return side * f64::INFINITY;
            }
        }
    }
}
