//! One form of a trial's counts for everything that judges them.
//!
//! *In.* A protocol, its layout and checked counts ([`data_from_trial`]), or any table by the names of its
//! columns ([`data_from_table`]). *Out.* [`TrialData`]: a count for each plot with its exposure, treatment and
//! place in the design, the question, and what could have been drawn.
//!
//! The plot is the unit: cores are summed here, before anything is compared.

mod crossover;
pub(crate) mod from_table;
pub(crate) mod from_trial;
pub(crate) mod plot_table;
mod reference_set;
mod square;
#[expect(
    clippy::module_inception,
    reason = "the room is named after the one value it makes"
)]
mod trial_data;

pub use crossover::Crossover;
pub use from_table::{TableQuestion, data_from_table, tells};
pub use from_trial::data_from_trial;
pub use reference_set::{AllocationCount, ReferenceSet};
pub use trial_data::{
    About, AsTreatedData, Deviation, OccasionCounts, PlotCount, Reference, Secondary, StageCount,
    TrialData,
};
pub(crate) use trial_data::{Unit, codes};
