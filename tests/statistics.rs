//! Checks of the statistics against published values and other software.
#![expect(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a failed step of a test, or of what serves it, must fail the test"
)]

mod closeness;
mod comparison;
mod diagnostics;
mod dispersion;
mod efficacy;
mod exact;
mod meta_analysis;
mod multiplicity;
mod power;
mod published;
mod reference;
mod responses;
mod sequential;
mod spatial;
