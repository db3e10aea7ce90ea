//! Checks of the tool as its users meet it.
#![expect(
    clippy::unwrap_used,
    reason = "a test whose setting cannot be made should stop"
)]

#[cfg(feature = "archive")]
mod archive;
#[expect(dead_code, reason = "the checks of the statistics ask for more of it")]
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
