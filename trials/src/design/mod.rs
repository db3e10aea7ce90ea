//! Ask one question, lay out plots, draw the treatments, seal it.

pub(crate) mod dates;
mod layout;
mod protocol;
mod protocol_file;
pub(crate) mod spelling;

pub use layout::{Layout, Plot};
pub use protocol::{
    Better, Decision, Design, DesignKind, Occasion, PlotSize, Protocol, Response, Role, Treatment,
    TreatmentKind, Trial,
};
pub use protocol_file::{Cost, ReadProtocol, Roll, Supplies, Wind, read_protocol, starter};
