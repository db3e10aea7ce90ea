//! A value with its standard error.

use serde::Serialize;

/// An estimate on the scale that the method states.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Estimate {
    /// The estimate.
    pub value: f64,
    /// Its standard error; infinite where the data do not bound it.
    pub se: f64,
}
