//! The seal, and what differs from it.

use halfgreen_analysis::comparison::Lead;

use super::super::output::Refusal;
use super::before;
use crate::design::{BlockBy, Green, Layout, Protocol, Seal, verify};
use crate::store::{COUNTS, SEAL, TrialFolder};
use crate::{Error, Warning};

/// The seal, if there is one.
pub(in crate::terminal) fn seal(folder: &TrialFolder) -> Result<Option<Seal>, Refusal> {
    let text = folder.optional_text(SEAL)?;
    Ok(text
        .map(|t| Seal::from_toml(&folder.shown(SEAL), &t))
        .transpose()?)
}

/// How a test that leads is written into the seal.
pub(in crate::terminal) fn lead_name(lead: Lead) -> &'static str {
    match lead {
        Lead::Randomisation => "randomisation",
        Lead::Model => "model",
    }
}

/// The seed asked for, or that of the draw.
pub(super) fn seed_of(asked: Option<u64>, seal: Option<&Seal>, protocol: &Protocol) -> u64 {
    asked
        .or(seal.map(|s| s.seed))
        .or(protocol.design.seed)
        .unwrap_or(1)
}

/// How protocol, outline and layout differ from the seal, or that there is none.
pub(super) fn unlike_seal(
    folder: &TrialFolder,
    seal: Option<&Seal>,
    protocol: &Protocol,
    greens: &[Green],
    layout: &Layout,
) -> Result<Vec<Warning>, Refusal> {
    let place = || folder.shown(SEAL);
    let Some(seal) = seal else {
        let message =
            "the layout is not sealed: nobody can check that it was drawn before the counting";
        return Ok(vec![Warning::at("no-seal", message, place())]);
    };
    let differences = differences(folder, seal, protocol, greens, layout)?.into_iter();
    Ok(differences
        .map(|d| Warning::at("not-as-sealed", d, place()))
        .collect())
}

/// What differs from the seal. Where blocks were formed from counts before treatment, those on file
/// now are held against those sealed.
fn differences(
    folder: &TrialFolder,
    seal: &Seal,
    protocol: &Protocol,
    greens: &[Green],
    layout: &Layout,
) -> Result<Vec<String>, Refusal> {
    if protocol.design.arrangement.block_by != BlockBy::BeforeCounts {
        return Ok(verify(seal, protocol, greens, layout)?);
    }
    let found = match before(folder, protocol, greens) {
        Ok(Some(found)) => found,
        Ok(None) => return Ok(vec![no_before_counts(folder).to_string()]),
        Err(refusal) => return Ok(refusal.errors.iter().map(ToString::to_string).collect()),
    };
    let mut counted = protocol.clone();
    counted.design.arrangement.before = found.counts;
    Ok(verify(seal, &counted, greens, layout)?)
}

/// Blocks that were formed from counts cannot be checked without them.
pub(in crate::terminal) fn no_before_counts(folder: &TrialFolder) -> Error {
    Error::new(
        folder.shown(COUNTS),
        "there are no counts before treatment, from which the blocks of this trial are formed",
        "Restore their lines, or lay the trial out first: `halfgreen layout`.",
    )
}
