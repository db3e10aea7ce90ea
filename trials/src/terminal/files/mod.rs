//! Reading a trial folder's texts into checked values, for every command that needs them.

mod checks;
mod outlines;
mod sealed;
mod trials;

use crate::Error;
use crate::design::{Layout, ReadProtocol, read_layout, read_protocol};
use crate::store::{LAYOUT, TRIAL, TrialFolder};

use super::output::Refusal;

pub(super) use checks::{before, caution, check, check_turf};
pub(super) use outlines::{greens, outline_file, repairs};
pub(super) use sealed::{lead_name, no_before_counts, seal};
pub(super) use trials::{Trial, trial, turf_trial};

/// The protocol of a trial folder.
pub(super) fn protocol(folder: &TrialFolder) -> Result<ReadProtocol, Refusal> {
    Ok(read_protocol(&folder.shown(TRIAL), &folder.text(TRIAL)?)?)
}

/// Its layout.
pub(super) fn layout(folder: &TrialFolder) -> Result<Layout, Refusal> {
    let text = needed(
        folder,
        LAYOUT,
        "Lay the trial out first: `halfgreen layout`.",
    )?;
    Ok(read_layout(&folder.shown(LAYOUT), &text)?)
}

/// Text of a file without which there is nothing to do.
fn needed(folder: &TrialFolder, name: &str, cure: &str) -> Result<String, Error> {
    match folder.optional_text(name)? {
        Some(text) => Ok(text),
        None => Err(Error::new(
            folder.shown(name),
            "there is no such file",
            cure,
        )),
    }
}
