//! `archive`: many clubs' trials in one folder, judged one by one and described together.

#[cfg(feature = "archive")]
mod add;
#[cfg(feature = "archive")]
mod describe;
#[cfg(feature = "archive")]
mod folder;
#[cfg(feature = "archive")]
mod gather;
#[cfg(feature = "archive")]
mod judge;
#[cfg(feature = "archive")]
mod one_trial;
#[cfg(feature = "archive")]
mod passes;
mod request;
#[cfg(feature = "archive")]
mod table;
#[cfg(feature = "archive")]
mod words;

#[cfg(feature = "archive")]
use serde::Serialize;

use super::{Answer, Refusal, Surroundings};

pub use request::{Add, Describe, Gather, Judge, Request};

/// The `result` of `archive`.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(untagged)]
#[cfg(feature = "archive")]
pub enum Archived {
    /// Of `archive add`.
    Added(add::Added),
    /// Of `archive judge` and `archive gather`.
    Judged(judge::JudgedTrials),
    /// Of `archive describe`.
    Described(describe::Described),
}

/// Adds to an archive, judges its trials, gathers what several runs judged, or describes it.
///
/// # Errors
/// A folder that is no archive or cannot be written, fields that do not go together. A source or a trial that cannot be used stops
/// nothing: it is listed.
#[cfg(feature = "archive")]
pub fn run(request: &Request, at: &Surroundings<'_>) -> Result<Answer<Archived>, Refusal> {
    match request {
        Request::Add(add) => Ok(add::run(add, at)?.map(Archived::Added)),
        Request::Judge(judge) => Ok(judge::run(judge, at)?.map(Archived::Judged)),
        Request::Gather(gather) => Ok(gather::run(gather, at)?.map(Archived::Judged)),
        Request::Describe(describe) => Ok(describe::run(describe, at)?.map(Archived::Described)),
    }
}

/// Says how to have archives.
///
/// # Errors
/// Always: archives are not a part of this build.
#[cfg(not(feature = "archive"))]
pub fn run(_request: &Request, _at: &Surroundings<'_>) -> Result<Answer<()>, Refusal> {
    let cure = "Build it with them: cargo build --release --features archive. That takes some minutes longer.";
    Err(crate::Error::new(
        "archive",
        "archives of many trials are not a part of this build",
        cure,
    )
    .into())
}
