//! The variance between trials: three estimators, and its interval.

use super::effect::BetweenVariance;
use super::weighted_fit::{Model, WeightedFit};
use crate::distributions::chi_squared_quantile;
use crate::numerics::roots;
use crate::results::Interval;

/// Places of the grid on which maxima of the restricted likelihood are looked for, above 0; each bracket is then searched to
/// rounding. Neighbours differ by less than a factor of two unless standard errors differ by more than a thousand.
const GRID: i32 = 24;

impl BetweenVariance {
    /// tau^2 and the fit there; 0 where no degrees of freedom are left. `None` where the columns determine each other, or a
    /// search does not settle.
    pub(super) fn estimate(self, model: &impl Model) -> Option<(f64, WeightedFit)> {
        let none = model.at(0.0)?;
        if model.df() == 0 {
            return Some((0.0, none));
        }
        let df = model.df() as f64;
        let tau2 = match self {
            Self::DerSimonianLaird => ((none.q - df) / none.trace).max(0.0),
            Self::PauleMandel => q_reaches(model, &none, df)?,
            Self::RestrictedMaximumLikelihood => restricted(model, &none)?,
        };
        Some((tau2, model.at(tau2)?))
    }
}

/// tau^2 at which Q is `goal`; 0 where it is no larger without any. Q falls as tau^2 rises (Viechtbauer 2007).
fn q_reaches(model: &impl Model, none: &WeightedFit, goal: f64) -> Option<f64> {
    if none.q <= goal {
        return Some(0.0);
    }
    // Q is at most the squares about the plain mean over tau^2.
    let far = model.squares()? / goal;
    let root = roots::brent(
        |tau2| model.at(tau2).map_or(f64::NAN, |fit| fit.q - goal),
        0.0,
        far * (1.0 + 1e-9),
        1e-15 * far,
    )?;
    Some(root.x)
}

/// Twice the slope of the restricted log-likelihood along tau^2.
fn score(fit: &WeightedFit) -> f64 {
    fit.q_squared - fit.trace
}

/// Where the restricted likelihood is highest. It may have several maxima: every fall of its slope through 0 on a grid is
/// followed, and 0 itself is one where it falls from there.
fn restricted(model: &impl Model, none: &WeightedFit) -> Option<f64> {
    let squares = model.squares()?;
    let (least, most) = model.variances();
    // Beyond this the slope is negative: with t above every v it is below squares / t^2 less df / (2 t).
    let highest = most.max(2.0 * squares / model.df() as f64) * (1.0 + 1e-9);
    let lowest = 1e-3 * least;
    let mut best = (0.0, none.ln_restricted);
    let mut before = (0.0, score(none));
    for step in 0..=GRID {
        let share = f64::from(step) / f64::from(GRID);
        let place = lowest * (highest / lowest).powf(share);
        let here = (place, score(&model.at(place)?));
        if before.1 > 0.0 && here.1 <= 0.0 {
            let slope = |tau2| model.at(tau2).map_or(f64::NAN, |fit| score(&fit));
            let root = roots::brent_between(slope, [before, here], 1e-15 * place)?;
            let value = model.at(root.x)?.ln_restricted;
            if value > best.1 {
                best = (root.x, value);
            }
        }
        before = here;
    }
    Some(best.0)
}

/// Q-profile interval of tau^2: the values at which Q is no unlikely chi-squared (Viechtbauer 2007, Statistics in Medicine
/// 26:37-52). Both limits are 0 where trials agree more closely than even no variance between them would lead to expect; the
/// upper one is infinite where no degrees of freedom are left.
pub(super) fn q_profile(model: &impl Model, level: f64) -> Option<Interval> {
    let (mut low, mut high) = (0.0, f64::INFINITY);
    if model.df() > 0 {
        let (none, df) = (model.at(0.0)?, model.df() as f64);
        low = q_reaches(model, &none, chi_squared_quantile(0.5 + 0.5 * level, df))?;
        high = q_reaches(model, &none, chi_squared_quantile(0.5 - 0.5 * level, df))?;
    }
    Some(Interval { low, high, level })
}

/// I^2 in per cent: the share of tau^2 in the variance of a typical trial, whose sampling variance is df over the trace of P
/// without tau^2 (Higgins & Thompson 2002, Statistics in Medicine 21:1539-1558, equation 9).
pub(super) fn i2(model: &impl Model, tau2: f64) -> Option<f64> {
    if model.df() == 0 {
        return Some(0.0);
    }
    let typical = model.df() as f64 / model.at(0.0)?.trace;
    Some(100.0 * tau2 / (tau2 + typical))
}
