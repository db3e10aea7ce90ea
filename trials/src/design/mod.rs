//! Ask one question, lay out plots, draw the treatments, seal it.
//!
//! | step | in -> out |
//! |---|---|
//! | [`Protocol`] | the question, its treatments, design and decision |
//! | [`read_protocol`] | text of `trial.toml` -> protocol, or every fault in it |
//! | [`plots`] | outline, plot and guard -> places in walking order |
//! | [`allocation`] | places, design, seed -> a treatment for each place |
//! | [`lay_out`] | protocol and outline -> layout, number of allocations, smallest p, advice |
//! | [`plots_to_count`] | protocol and outline -> numbered plots, where blocks wait for counts before treatment |
//! | [`Seal`] | protocol, outline, layout -> digest by which anyone can check them |

mod advice;
pub mod allocation;
mod arrangement;
mod before;
mod chance_of_finding;
pub(crate) mod dates;
mod greens;
mod headline;
mod lay_out;
mod layout;
mod layout_table;
mod places;
pub mod plots;
mod protocol;
mod protocol_file;
mod read_back;
mod seal;
pub(crate) mod times;
mod units;

pub use advice::{Advice, advise, advise_on_sheets};
pub use arrangement::{Arrangement, Balance, BlockBy, GreenShare, Rule};
pub use before::{ToCount, plots_to_count, write_plots_to_count};
pub use greens::{Green, Greens};
pub use headline::{headline_of, headline_test, lead_name};
pub use lay_out::{LaidOut, lay_out};
pub use layout::{Layout, Plot};
pub use layout_table::{read_layout, unknown_treatments, write_layout};
pub use protocol::{
    Better, Decision, Design, DesignKind, Occasion, PlotSize, Protocol, ReferenceMethod, Response,
    ResponseKind, Role, Treatment, TreatmentKind, Trial,
};
pub use protocol_file::{Cost, ReadProtocol, Roll, Supplies, Wind, read_protocol, starter};
pub use read_back::scheme_of;
pub use seal::{Seal, seal, verify};
