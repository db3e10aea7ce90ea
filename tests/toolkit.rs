//! Checks of the tool as its users meet it.
#![expect(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a failed step of a test, or of what serves it, must fail the test"
)]

#[cfg(feature = "archive")]
mod archive;
mod association;
#[expect(
    dead_code,
    clippy::disallowed_methods,
    reason = "the checks of the statistics ask for more of it, and a reference is read from its file"
)]
mod closeness;
mod commands;
mod count_rules;
mod description;
mod design;
mod drawing;
mod fieldwork;
mod intake;
mod judgement;
mod mapping;
mod mutation;
mod next_season;
mod night;
mod notebooks;
mod ranges;
mod report;
mod requests;
mod scratch;
mod season;
mod store;
mod tally;
mod tidy;
mod whole_trials;
