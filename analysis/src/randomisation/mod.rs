//! Randomisation tests: justified by the randomisation of the layout alone.
//!
//! **Question.** If no method did anything, every plot would have given the same count whatever it was
//! allocated. How often would the randomisation alone have put treated and control plots as far apart as
//! they were found?
//!
//! **In.** One score for each plot (any number fixed before treatments are looked at), the treatment
//! allocated to each plot (0 is the control), and the [`Scheme`] of allocations that the design
//! allowed (the reference set). **Out.** A p-value for each treatment against the control, alone and adjusted for there
//! being several.
//!
//! **Method.** Statistic: the difference in mean score, two-sided. Alone: treatment and control change
//! places within what the design allowed, all other plots as they are. Adjusted, for up to
//! [`CLOSED`] treatments: closed testing (Marcus, Peritz & Gabriel 1976, Biometrika 63:655-660) of
//! every group of treatments by max-t, the largest standardised difference, so that the chance of any false
//! claim stays at its level whichever treatments work; beyond that, Holm's method. All allocations
//! are counted when there are at most `limit`; otherwise a seeded sample is drawn and
//! p = (b + 1) / (m + 1) (Phipson & Smyth 2010, Statistical Applications in Genetics and Molecular
//! Biology 9:39).
//!
//! **Assumes** that treatments were really randomised by the scheme. **When not to use it:** when they were
//! not, no test here can stand in for it.
//!
//! **Source.** Fisher, "The Design of Experiments", 1935, sections 17-21.

mod allocations;
mod tail_count;
mod scheme;
mod contributions;
mod test;
mod step_down;
mod shifted_reference;

pub use allocations::Allocations;
pub use scheme::Scheme;
pub(crate) use shifted_reference::ShiftedReference;
pub use test::{
    Adjustment, CLOSED, Randomisation, RandomisationSettings, adjustment, against_control, max_t,
};
