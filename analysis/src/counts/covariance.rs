//! How the coefficients of a fit vary together.

use crate::numerics::bordered::Inverse;

/// Covariance of the coefficients of a fit, in the order of its columns.
#[derive(Debug, Clone, PartialEq)]
pub struct Covariance {
    /// `None` where the information has no inverse.
    inverse: Option<Inverse>,
}

impl Covariance {
    /// The inverse of the information.
    pub(super) fn new(inverse: Inverse) -> Self {
        Self {
            inverse: Some(inverse),
        }
    }

    /// That of coefficients of which nothing is known.
    pub(super) fn infinite() -> Self {
        Self { inverse: None }
    }

    /// Covariance of coefficients `i` and `j`, variance where they are the same; infinite where the counts say nothing
    /// of some coefficient.
    #[must_use]
    pub fn between(&self, i: usize, j: usize) -> f64 {
        self.inverse
            .as_ref()
            .map_or(f64::INFINITY, |inverse| inverse.element(i, j))
    }
}
