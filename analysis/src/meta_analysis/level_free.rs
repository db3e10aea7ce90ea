//! What two counts of one trial say of their ratio, whatever the trial's level is.
//!
//! The level, the log of the control's mean, is integrated out with equal weight everywhere (Berger, Liseo & Wolpert 1999,
//! Statistical Science 14:1-28). For Poisson counts that is exactly the conditional likelihood given their total, the binomial one; for negative
//! binomial counts, where no total is sufficient, it takes its place.

use super::pool_counts::{ArmTotal, TrialCounts};
use crate::distributions::negative_binomial::ln_rising_factorial;
use crate::numerics::special::{ln_factorial, ln_gamma};

/// Log of the likelihood of a log ratio, with its first two derivatives along it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Slopes {
    pub(super) value: f64,
    pub(super) first: f64,
    pub(super) second: f64,
}

impl Slopes {
    /// Of what says nothing.
    pub(super) const NONE: Self = Self {
        value: 0.0,
        first: 0.0,
        second: 0.0,
    };
}

/// Below e^-37 of its peak the integrand adds nothing to sixteen digits.
const FALLEN: f64 = 37.0;

/// Longest step of the trapezoidal rule. The integrand's nearest singularity lies pi off the real axis, so that the error is about
/// exp(-2 pi^2 / step), 7e-18; where the peak is narrow, its width sets the step (Trefethen & Weideman 2014, SIAM Review 56:385-458).
const LONGEST: f64 = 0.5;

/// Steps for each standard deviation of the peak: the error is about exp(-2 pi^2 / 0.75^2), 6e-16.
const OF_WIDTH: f64 = 0.75;

/// Log density of a count at log mean `eta`, less what does not depend on it; with its first two derivatives.
fn arm(arm: &ArmTotal, eta: f64) -> Slopes {
    let y = arm.count as f64;
    if arm.k.is_infinite() {
        let mean = eta.exp();
        return Slopes {
            value: y * eta - mean,
            first: y - mean,
            second: -mean,
        };
    }
    // Share of the mean in mean plus k, kept exact at both ends.
    let over = eta - arm.k.ln();
    let share = 1.0 / (1.0 + (-over).exp());
    let ln_one_plus = if over > 0.0 {
        over + (-over).exp().ln_1p()
    } else {
        over.exp().ln_1p()
    };
    let all = y + arm.k;
    Slopes {
        value: y * eta - all * ln_one_plus,
        first: y - all * share,
        second: -all * share * (1.0 - share),
    }
}

/// What does not depend on the mean: log of k (k+1) ... (k+y-1) / (k^y y!).
fn constant(arm: &ArmTotal) -> f64 {
    let rising = if arm.k.is_infinite() {
        0.0
    } else {
        ln_rising_factorial(arm.count, arm.k)
    };
    rising - ln_factorial(arm.count)
}

impl TrialCounts {
    /// The likelihood of a log ratio. `None` for two empty arms, which say nothing of it.
    pub(super) fn level_free(&self, log_ratio: f64) -> Option<Slopes> {
        if self.control.count == 0 && self.treated.count == 0 {
            return None;
        }
        let constants = constant(&self.control) + constant(&self.treated);
        let lift = [
            self.control.exposure.ln(),
            self.treated.exposure.ln() + log_ratio,
        ];
        let poisson = self.control.k.is_infinite() && self.treated.k.is_infinite();
        let mut found = if poisson {
            self.binomial(lift)
        } else {
            self.integrated(lift)
        };
        found.value += constants;
        Some(found)
    }

    /// In closed form: of the total, a share falls to the treated arm.
    fn binomial(&self, lift: [f64; 2]) -> Slopes {
        let (y0, y1) = (self.control.count as f64, self.treated.count as f64);
        let total = y0 + y1;
        let over = lift[1] - lift[0];
        // Logs of both shares, exact at both ends.
        let ln_sum = lift[0].max(lift[1]) + (-over.abs()).exp().ln_1p();
        let share = (lift[1] - ln_sum).exp();
        Slopes {
            value: ln_gamma(total) + y0 * (lift[0] - ln_sum) + y1 * (lift[1] - ln_sum),
            first: y1 - total * share,
            second: -total * share * (lift[0] - ln_sum).exp(),
        }
    }

    /// By the trapezoidal rule along the level.
    fn integrated(&self, lift: [f64; 2]) -> Slopes {
        let at = |level: f64| {
            (
                arm(&self.control, lift[0] + level),
                arm(&self.treated, lift[1] + level),
            )
        };
        let (peak, width) = self.peak(lift);
        let step = LONGEST.min(OF_WIDTH * width);
        let (zero, one) = at(peak);
        let top = zero.value + one.value;
        // Mass, and the moments of the treated arm's derivatives.
        let (mut mass, mut first, mut square, mut second) = (0.0, 0.0, 0.0, 0.0);
        for side in [1.0, -1.0] {
            let mut place = if side > 0.0 { 0.0 } else { -1.0 };
            loop {
                let (zero, one) = at(peak + place * step);
                let height = zero.value + one.value - top;
                if height < -FALLEN {
                    break;
                }
                let weight = height.exp();
                mass += weight;
                first += weight * one.first;
                square += weight * one.first * one.first;
                second += weight * one.second;
                place += side;
            }
        }
        let mean = first / mass;
        Slopes {
            value: top + (mass * step).ln(),
            first: mean,
            second: second / mass + square / mass - mean * mean,
        }
    }

    /// Where along the level the integrand is highest, and its standard deviation there. Its log is concave with one maximum, for
    /// some count is above 0.
    fn peak(&self, lift: [f64; 2]) -> (f64, f64) {
        let slopes = |level: f64| {
            let (zero, one) = (
                arm(&self.control, lift[0] + level),
                arm(&self.treated, lift[1] + level),
            );
            (zero.first + one.first, -(zero.second + one.second))
        };
        let total = self.control.count as f64 + self.treated.count as f64;
        // Poisson counts have theirs where the sum of both means is the total.
        let ln_sum = lift[0].max(lift[1]) + (-(lift[1] - lift[0]).abs()).exp().ln_1p();
        let mut level = total.ln() - ln_sum;
        for _ in 0..100 {
            let (slope, curvature) = slopes(level);
            // Newton's steps, none longer than 2, end where they no longer matter to the rule.
            let stride = (slope / curvature).clamp(-2.0, 2.0);
            level += stride;
            if stride.abs() < 1e-3 {
                break;
            }
        }
        (level, 1.0 / slopes(level).1.sqrt())
    }
}
