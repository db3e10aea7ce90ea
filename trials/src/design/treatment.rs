//! What is compared.

use serde::Serialize;

/// One method, or the control.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Treatment {
    /// Short code used in layouts and counts.
    pub code: String,
    /// Name for people.
    pub name: String,
    /// Sort of method.
    pub kind: TreatmentKind,
    /// Whether this is the control.
    pub control: bool,
}

/// Sort of method.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum TreatmentKind {
    /// A sheet laid over the turf.
    Covering,
    /// Holes or slits through the turf.
    Aeration,
    /// Anything else, the untreated control included.
    Other,
}
