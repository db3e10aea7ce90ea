//! Ask one question, lay out plots, draw the treatments, seal it.
//!
//! | step | in -> out |
//! |---|---|
//! | [`Protocol`] | the question, its treatments, design and decision |
//! | [`read_protocol`] | text of `trial.toml` -> protocol, or every fault in it |
//! | [`kinds`] | a kind of design -> its words, block structure, randomisation, shape and labels |
//! | [`plots`] | outline, plot and guard -> places in walking order |
//! | [`allocation`] | places, design, seed -> a treatment for each place |
//! | [`lay_out`] | protocol and outline -> layout, number of allocations, smallest p, advice |
//! | [`most_blocks`] | protocol and outline -> how many blocks there is room for |
//! | [`plots_to_count`] | protocol and outline -> numbered plots, where blocks wait for counts before treatment |
//! | [`wind_speed`] | a gust as forecasts write it -> metres per second |
//! | [`Seal`] | protocol, outline, layout -> digest by which anyone can check them |

mod advice;
pub mod allocation;
mod arrangement;
mod before;
mod changes;
mod chance_of_finding;
pub(crate) mod dates;
mod factor;
mod greens;
mod verdict_about;
mod verify;
pub mod wind_speed;
mod headline;
mod lay_out;
pub mod kinds;
mod layout;
mod layout_table;
mod places;
pub mod plots;
mod protocol;
mod protocol_file;
mod room;
mod seal;
mod sealed_lines;
mod sealed_texts;
pub(crate) mod times;
mod treatment;
mod units;

pub(crate) use advice::CORED_SHARE;
pub use advice::{advise, advise_on_sheets};
pub use arrangement::{Arrangement, Balance, BlockBy, GreenShare, Rule};
pub use before::{ToCount, plots_to_count, write_plots_to_count};
pub use changes::{CHANGED_BESIDE, ChangedLine, Difference, LAYOUT_CHANGED, NOT_AS_SEALED};
pub use factor::Factor;
pub use greens::{Green, Greens};
pub use halfgreen_analysis::comparison::Better;
pub use headline::{
    HeadlineComparison, headline_comparison, headline_family, headline_of, headline_test, lead_name,
};
pub use kinds::{Advice, BlockStructure, DesignKind};
pub use lay_out::{LaidOut, lay_out};
pub use layout::{Layout, Plot};
pub use layout_table::{read_layout, unknown_treatments, write_layout};
pub use protocol::{
    Decision, Design, Occasion, PlotSize, Protocol, ReferenceMethod, Response, ResponseKind, Role,
    Sample, Trial,
};
pub use protocol_file::{
    Cost, Crew, Place, Rates, ReadProtocol, Reporting, Roll, Setting, Supplies, Weights, Wind,
    read_protocol, starter,
};
/// The reader of files in TOML that complains with places, for the files of other rooms.
pub(crate) mod reader {
    pub(crate) use super::protocol_file::{
        Reading, Section, TrialFile, complain_of_grammar, in_file_order,
    };
}

pub use room::{fits, most_blocks, plots_of, plots_that_fit};
pub use seal::{FINDINGS, Seal, seal};
pub(crate) use sealed_texts::sha256;
pub use treatment::{Treatment, TreatmentKind};
pub use units::scheme_of;
pub use verdict_about::{ENOUGH, Grouping, VerdictAbout};
pub use verify::verify;
