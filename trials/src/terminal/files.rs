//! Reading a trial folder's texts into checked values, for every command that needs them.

use crate::Error;
use crate::design::{Layout, Protocol, ReadProtocol, read_layout, read_protocol};
use crate::intake::{Check, check_counts, read_events};
use crate::store::{COUNTS, EVENTS, LAYOUT, TRIAL, TrialFolder};

use super::output::Refusal;

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

/// Its counts and events, held against protocol and layout.
pub(super) fn check(
    folder: &TrialFolder,
    protocol: &Protocol,
    layout: &Layout,
) -> Result<Check, Refusal> {
    let cure =
        "Write the counts into it, one line for each core: plot,sample,occasion,date,count,note.";
    let counts = needed(folder, COUNTS, cure)?;
    let mut check = check_counts(&folder.shown(COUNTS), &counts, protocol, layout);
    if let Some(events) = folder.optional_text(EVENTS)?
        && let Err(found) = read_events(&folder.shown(EVENTS), &events, protocol, layout)
    {
        check.result.problems.extend(found);
        check.counts = None;
    }
    Ok(check)
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
