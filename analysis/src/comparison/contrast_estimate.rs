//! A contrast of treatments in one response: estimate, standard error, t.

use crate::distributions;

/// The coefficient of a column of treatment, in a response: a treatment less the control, or another contrast.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct ContrastEstimate {
    pub(super) estimate: f64,
    pub(super) standard_error: f64,
    /// Degrees of freedom, Satterthwaite's (1946, Biometrics Bulletin 2:110-114) where two strata
    /// share in the error; 0 where there is no error to test it against.
    pub(super) df: f64,
    /// Skewness of the estimate under the model.
    pub(super) skewness: f64,
}

impl ContrastEstimate {
    /// Student's t, signed; infinite where nothing scatters, 0 where nothing differs either. Where the estimate is skewed, t is
    /// brought back to symmetry by Hall's cubic transformation (1992, JRSS B 54:221-228), which keeps its order.
    pub(super) fn t(&self) -> f64 {
        if self.estimate == 0.0 {
            return 0.0;
        }
        let (t, skewness) = (self.estimate / self.standard_error, self.skewness);
        if skewness == 0.0 || t.is_infinite() {
            return t;
        }
        t + skewness / 3.0 * t * t + skewness * skewness / 27.0 * t.powi(3) + skewness / 6.0
    }

    /// Two-sided p; 1 where there is no error to test it against.
    pub(super) fn p(&self) -> f64 {
        if self.df < 1.0 {
            1.0
        } else {
            (2.0 * distributions::t_sf(self.t().abs(), self.df)).min(1.0)
        }
    }
}
