//! Ask one question, lay out plots, draw the treatments, seal it.

mod layout;
mod protocol;

pub use layout::{Layout, Plot};
pub use protocol::{
    Better, Decision, Design, DesignKind, Occasion, PlotSize, Protocol, Response, Role, Treatment,
    TreatmentKind, Trial,
};
