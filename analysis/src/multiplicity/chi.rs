//! The distribution of the estimated standard deviation, chi over the root of its degrees of freedom, on the log scale.

use crate::distributions::{chi_squared_quantile, normal_sf};
use crate::numerics::special::ln_gamma;

/// log S for S = sqrt(chi-squared / df), the factor by which an estimated standard deviation errs.
#[derive(Debug, Clone, Copy)]
pub(super) struct LogChi {
    df: f64,
    ln_peak: f64,
}

impl LogChi {
    /// For finite `df` > 0.
    pub(super) fn new(df: f64) -> Self {
        let a = df / 2.0;
        // log of 2 a^a e^-a / Gamma(a). From 20 on by Stirling's series, whose terms would
        // otherwise cancel; its next term is below 1 / (1260 * 20^5) = 3e-10 of an already small one.
        let ln_peak = if a < 20.0 {
            std::f64::consts::LN_2 + a * a.ln() - a - ln_gamma(a)
        } else {
            let square = a * a;
            let correction = (1.0 / 12.0
                - (1.0 / 360.0 - (1.0 / 1260.0 - 1.0 / (1680.0 * square)) / square) / square)
                / a;
            std::f64::consts::LN_2 + 0.5 * (a / std::f64::consts::TAU).ln() - correction
        };
        Self { df, ln_peak }
    }

    /// log density of log S at `y`.
    pub(super) fn ln_density(&self, y: f64) -> f64 {
        self.ln_peak + self.df * (y - 0.5 * (2.0 * y).exp_m1())
    }

    /// A step with which the trapezoidal rule is good to 1e-11 for this density times the tail of the
    /// largest of `contrasts` normals at S.
    ///
    /// The rule's error for a function analytic in a strip of half-width a is exp(-2 pi a / h): here
    /// a is about pi/4, where the tail is no longer bounded. For many degrees of freedom the density is
    /// a normal of standard deviation 1/sqrt(2 df), and the error is 2 exp(-2 pi^2 sd^2 / h^2). The more
    /// contrasts, the steeper the tail. Constants from halving the step until nothing changed, for 1
    /// to 1000 contrasts, 1 to 50 degrees of freedom and lambda of 0.3 to 0.95.
    pub(super) fn step(&self, contrasts: usize) -> f64 {
        (0.6 / (2.0 * self.df).sqrt()).min(0.125) / (1.0 + 0.08 * (contrasts.max(1) as f64).ln())
    }

    /// Ends outside which the density adds nothing to the chance of exceeding `ln_t`, in y.
    ///
    /// Right: e^-45 of the peak, where the tail function is smaller than at the peak. Left: the
    /// density falls as e^(df y); 34/df below the place where the tail function has reached its
    /// ceiling leaves e^-34. Nor further left than where the density itself underflows.
    pub(super) fn ends(&self, ln_t: f64) -> (f64, f64) {
        // y - expm1(2y)/2 is below -y^2/(1+|y|) for y < 0 and below -y^2 for y > 0.
        let c = 745.0 / self.df;
        let underflow = -0.5 * (c + (c * c + 4.0 * c).sqrt());
        let left = -ln_t.max(0.0) - 34.0 / self.df - (45.0 / self.df).sqrt().min(3.0);
        (left.max(underflow), (45.0 / self.df).sqrt())
    }
}

/// S as a function of the normal score of its probability, tabulated.
///
/// The function is nearly straight (its cube root power would be; Wilson & Hilferty 1931, Proc. Natl. Acad. Sci. 17, 684-688),
/// so that cubic interpolation at steps of 0.1 errs by less than 1e-6: far below the error of a lattice, and
/// many times quicker than a quantile for every point.
#[derive(Debug)]
pub(super) struct ChiByScore {
    /// S and its slope at each score.
    points: Vec<(f64, f64)>,
}

/// First score and step of the table; 157 points reach 7.6. Outside lie 2e-14 of all draws.
const FIRST_SCORE: f64 = -8.0;
const SCORE_STEP: f64 = 0.1;
const SCORES: u32 = 157;

impl ChiByScore {
    /// For finite `df` > 0.
    pub(super) fn new(df: f64) -> Self {
        let law = LogChi::new(df);
        let points = (0..SCORES)
            .map(|i| {
                let score = FIRST_SCORE + SCORE_STEP * f64::from(i);
                let s = (chi_squared_quantile(normal_sf(-score), df) / df).sqrt();
                let normal = (-0.5 * score * score).exp() / std::f64::consts::TAU.sqrt();
                let density = law.ln_density(s.ln()).exp() / s;
                (s, normal / density)
            })
            .collect();
        Self { points }
    }

    /// S at a normal score.
    pub(super) fn at(&self, score: f64) -> f64 {
        let place = ((score - FIRST_SCORE) / SCORE_STEP).clamp(0.0, f64::from(SCORES - 1));
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "between 0 and the number of points"
        )]
        let cell = (place as usize).min(self.points.len().saturating_sub(2));
        let (a, b) = (self.points[cell], self.points[cell + 1]);
        let t = place - cell as f64;
        let rest = 1.0 - t;
        // Hermite's cubic.
        a.0 * (1.0 + 2.0 * t) * rest * rest
            + b.0 * (3.0 - 2.0 * t) * t * t
            + SCORE_STEP * t * rest * (a.1 * rest - b.1 * t)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::distributions::normal_quantile;

    #[test]
    fn table_follows_the_quantile() {
        for df in [1.0, 3.0, 14.0, 200.0] {
            let table = ChiByScore::new(df);
            for i in 1..400 {
                let p = f64::from(i) / 400.0;
                let exact = (chi_squared_quantile(p, df) / df).sqrt();
                let got = table.at(normal_quantile(p));
                assert!((got - exact).abs() < 1e-6, "{df} {p}: {got} {exact}");
            }
        }
    }
}
