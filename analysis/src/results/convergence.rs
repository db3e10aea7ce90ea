//! How an iterative search ended: steps, reason, last gradient.

use serde::Serialize;

/// Why an iteration ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Stop {
    /// The objective and the gradient both converged within the tolerances stated by the method.
    Converged,
    /// The best value lies on a boundary of the parameter space, such as k at the Poisson limit.
    Boundary,
    /// No step improved the objective further at working precision.
    Stalled,
    /// The budget of steps ran out before it converged.
    Budget,
}

/// How an iterative method came to its end.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Convergence {
    /// Why the iteration ended.
    pub stop: Stop,
    /// Steps taken.
    pub steps: usize,
    /// Largest absolute scaled gradient component at the end; zero for a defined limit.
    pub gradient: f64,
}

impl Convergence {
    /// Whether the end can be trusted: converged, on a boundary, or stalled with a gradient that is
    /// small beside the objective's rounding error.
    #[must_use]
    pub fn converged(&self) -> bool {
        match self.stop {
            Stop::Converged | Stop::Boundary => true,
            // Rounding of a log-likelihood near 1e3 leaves gradients of about sqrt(1e3 * 2e-16).
            Stop::Stalled => self.gradient < 1e-4,
            Stop::Budget => false,
        }
    }
}
