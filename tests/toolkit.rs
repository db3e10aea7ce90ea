//! Checks of the tool as its users meet it.
#![expect(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a failed step of a test, or of what serves it, must fail the test"
)]

#[cfg(feature = "archive")]
mod archive;
#[expect(
    dead_code,
    clippy::disallowed_methods,
    reason = "the checks of the statistics ask for more of it, and a reference is read from its file"
)]
mod closeness;
mod commands;
mod description;
mod drawing;
mod ground;
mod hotspots;
mod intake;
mod judging;
mod mutation;
mod notebooks;
mod pages;
mod planning;
mod requests;
mod scratch;
mod store;
mod tidy;
