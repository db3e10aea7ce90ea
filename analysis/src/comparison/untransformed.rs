//! Counts as they are: the comparison that must agree where treatments differ in k.
//!
//! The expectation of a transformed count hangs on the law of the counts, that of a count over its mean does not: at the ratio in question
//! it is the same under every treatment, whether counts are negative binomial or half the plots are empty for another
//! reason. Where the counts themselves say that treatments scatter unlike, a ratio is rejected only if this comparison rejects it too.
//! It is weak where one plot may hold most of the larvae, so that it is not asked where treatments seem alike.

use ndarray::Array1;
use serde::Serialize;

use super::contrast_estimate::ContrastEstimate;
use super::own_k::{Arm, ArmLaw};
use super::plot_scores::{PlotScores, Scored};
use crate::multiplicity::dunnett::CriticalCurve;

/// Share of the way from the common k to each treatment's own from which untransformed counts must agree: the likelihood ratio
/// of separate k is then 3/2 of what it is on average where there is one k. Of 0 to 0.6, tried by simulation, the
/// share that keeps most of the level where k differs for about one point of power where it does not; measured by the bench with other seeds.
pub(super) const ASKED: f64 = 1.0 / 3.0;

/// Share of the correction of t for skewness that is made. With few plots the mean and the scatter of counts that lie in clumps
/// rise together, which the full correction takes for more than it is: it halves the level and finds a third as much. Chosen by
/// simulation as above, of 0 to 1.
pub(super) const CORRECTED: f64 = 2.0 / 3.0;

/// A treatment under which fewer animals than this are expected in all its plots holds none: its mean is only bounded by the search.
const NOTHING: f64 = 1e-3;

/// The comparison of counts over their means at a ratio of 1.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Untransformed {
    /// Difference of treatment and control, in shares of the control's mean.
    pub difference: f64,
    /// Its standard error, the mean square shared out by the variances that each treatment's k leads to expect.
    pub standard_error: f64,
    /// Student's t, corrected for skewness; `None` where nothing scatters.
    pub t: Option<f64>,
    /// Its degrees of freedom.
    pub df: f64,
    /// The t beyond which it rejects; `None` without degrees of freedom.
    pub critical_t: Option<f64>,
    /// Skewness of the difference for which t is corrected.
    pub skewness: f64,
}

impl Untransformed {
    pub(super) fn of(contrast: &ContrastEstimate, bound: &CriticalCurve) -> Self {
        Self {
            difference: contrast.estimate,
            standard_error: contrast.standard_error,
            t: Some(contrast.t()).filter(|t| t.is_finite()),
            df: contrast.df,
            critical_t: Some(bound.at(contrast.df)).filter(|t| t.is_finite()),
            skewness: contrast.skewness,
        }
    }
}

impl Scored<'_> {
    /// Each count over its mean without its block, with the variance and third cumulant that it should have, k of
    /// each treatment as in `laws`; `None` where nothing is expected of a plot.
    ///
    /// Cumulants of the negative binomial: m (1 + m/k) and m (1 + m/k) (1 + 2 m/k) (Johnson, Kemp & Kotz 2005, "Univariate Discrete
    /// Distributions", 3rd ed., section 5.4).
    pub(super) fn untransformed(&self, arms: &[Arm], laws: &[ArmLaw]) -> Option<PlotScores> {
        let plots = self.counts.len();
        let [mut values, mut variances, mut third_cumulants] =
            [(); 3].map(|()| Array1::zeros(plots));
        for (arm, law) in arms.iter().zip(laws) {
            // Nothing was found and nothing is expected: no scatter either.
            let expected: f64 = (arm.rows.iter())
                .map(|&row| self.average(row, f64::exp))
                .sum();
            if expected < NOTHING {
                continue;
            }
            for &row in &arm.rows {
                let scale = self.expected[row].exp();
                if !(scale > 0.0 && scale.is_finite()) {
                    return None;
                }
                let mean = self.average(row, f64::exp);
                let over = law.inverse_k * mean;
                let variance = mean * (1.0 + over);
                values[row] = self.counts[row] as f64 / scale;
                variances[row] = variance / scale.powi(2);
                third_cumulants[row] = variance * (1.0 + 2.0 * over) / scale.powi(3);
            }
        }
        Some(PlotScores {
            values,
            variances: Some(variances),
            third_cumulants: Some(third_cumulants),
        })
    }
}
