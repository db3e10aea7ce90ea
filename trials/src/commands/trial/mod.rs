//! Reading a trial folder's texts into checked values, for every command that needs them.

mod checks;
mod facts;
mod happened;
mod outlines;
mod pegged;
mod read;
mod sealed;
mod trials;

use crate::Error;
use crate::design::{
    Layout, Protocol, ReadProtocol, read_layout, read_protocol, unknown_treatments,
};
use crate::store::{LAYOUT, TRIAL, TrialFolder};

use super::Refusal;

pub(super) use checks::{
    before, caution, check, check_turf, counts_of, events_at_fault, late_events, not_merged,
};
pub(super) use facts::facts;
pub(super) use outlines::{greens, outline_file, outline_files, repairs};
pub(super) use pegged::{pegging, pegging_in_words, straddling_on};
pub(super) use read::what_was_read;
pub(super) use sealed::{early_counts, early_readings, held_to_seal, no_before_counts, seal};
pub(super) use trials::{Trial, trial, turf_trial};

/// The protocol of a trial folder.
pub(super) fn protocol(folder: &TrialFolder<'_>) -> Result<ReadProtocol, Refusal> {
    Ok(read_protocol(&folder.shown(TRIAL), &folder.text(TRIAL)?)?)
}

/// Its layout, all of whose treatments the protocol knows.
pub(super) fn layout(folder: &TrialFolder<'_>, protocol: &Protocol) -> Result<Layout, Refusal> {
    let text = needed(
        folder,
        LAYOUT,
        "Lay the trial out first: `halfgreen layout`.",
    )?;
    let shown = folder.shown(LAYOUT);
    let layout = read_layout(&shown, &text, &protocol.design.arrangement.greens)?;
    let unknown = unknown_treatments(&shown, &text, protocol);
    if unknown.is_empty() {
        Ok(layout)
    } else {
        Err(unknown.into())
    }
}

/// Text of a file without which there is nothing to do.
fn needed(folder: &TrialFolder<'_>, name: &str, cure: &str) -> Result<String, Error> {
    match folder.optional_text(name)? {
        Some(text) => Ok(text),
        None => Err(Error::new(
            folder.shown(name),
            "there is no such file",
            cure,
        )),
    }
}
