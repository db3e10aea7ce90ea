//! The seal, and what differs from it.

use super::super::Refusal;
use super::{before, greens};
use crate::design::{
    BlockBy, CHANGED_BESIDE, Difference, Green, Layout, NOT_AS_SEALED, Protocol, Seal, verify,
};
use crate::intake::{Check, ReadingsCheck, counted_before_sealed};
use crate::store::{COUNTS, SEAL, TrialFolder};
use crate::{Error, Warning};

/// The seal, if there is one.
pub(in crate::commands) fn seal(folder: &TrialFolder<'_>) -> Result<Option<Seal>, Refusal> {
    let text = folder.optional_text(SEAL)?;
    Ok(text
        .map(|t| Seal::from_toml(&folder.shown(SEAL), &t))
        .transpose()?)
}

/// The seed asked for, or that of the draw.
pub(in crate::commands) fn seed_of(
    asked: Option<u64>,
    seal: Option<&Seal>,
    protocol: &Protocol,
) -> u64 {
    asked
        .or(seal.map(|s| s.seed))
        .or(protocol.design.seed)
        .unwrap_or(1)
}

/// What is not as it was sealed, for pages that tell it line by line and for whoever is warned of it.
#[derive(Debug, Default)]
pub(in crate::commands) struct UnlikeSeal {
    pub(in crate::commands) differences: Vec<Difference>,
    pub(in crate::commands) warnings: Vec<Warning>,
}

/// How protocol, outline and layout differ from the seal, that there is none, that a draw came before it.
pub(in crate::commands) fn unlike_seal(
    folder: &TrialFolder<'_>,
    seal: Option<&Seal>,
    protocol: &Protocol,
    greens: &[Green],
    layout: &Layout,
) -> UnlikeSeal {
    let place = || folder.shown(SEAL);
    let Some(seal) = seal else {
        let message =
            "the layout is not sealed: nobody can check that it was drawn before the counting";
        let mut warnings = vec![Warning::at("no-seal", message, place())];
        warnings.extend(drawn_before(folder, None));
        return UnlikeSeal {
            differences: Vec::new(),
            warnings,
        };
    };
    let found = match differences(folder, seal, protocol, greens, layout) {
        Ok(found) => found,
        Err(refusal) => graves(&refusal),
    };
    let mut warnings: Vec<Warning> = found
        .iter()
        .map(|d| {
            let code = if d.touches_the_verdict {
                NOT_AS_SEALED
            } else {
                CHANGED_BESIDE
            };
            Warning::at(code, d.sentence.as_str(), place())
        })
        .collect();
    warnings.extend(drawn_before(folder, Some(seal)));
    UnlikeSeal {
        differences: found,
        warnings,
    }
}

/// The same for a check of counts, which needs no outline: one that cannot be read is told of like any other
/// difference.
pub(in crate::commands) fn held_to_seal(
    folder: &TrialFolder<'_>,
    seal: Option<&Seal>,
    protocol: &Protocol,
    layout: &Layout,
) -> Vec<Warning> {
    let greens = match greens(folder, protocol) {
        Ok(greens) => greens,
        Err(refusal) if seal.is_some() => {
            let errors = refusal.errors.iter().map(ToString::to_string);
            return errors
                .map(|e| Warning::at(NOT_AS_SEALED, e, folder.shown(SEAL)))
                .collect();
        }
        Err(_) => Vec::new(),
    };
    unlike_seal(folder, seal, protocol, &greens, layout).warnings
}

/// What keeps the seal from being checked.
fn graves(refusal: &Refusal) -> Vec<Difference> {
    let each = refusal.errors.iter();
    each.map(|e| Difference {
        sentence: e.to_string(),
        touches_the_verdict: true,
        lines: Vec::new(),
    })
    .collect()
}

/// That the trial was drawn more than once: older draws lie beside, or the seal names the one it replaced.
fn drawn_before(folder: &TrialFolder<'_>, seal: Option<&Seal>) -> Option<Warning> {
    let older = folder.older_draws();
    let named = seal.is_some_and(|s| s.replaces.is_some());
    if older.is_empty() && !named {
        return None;
    }
    let place = older.first().map_or(SEAL, String::as_str);
    let beside = if older.is_empty() {
        "the seal names an earlier one, which is no longer here".to_owned()
    } else {
        format!("the earlier draw is kept as {}", older.join(", "))
    };
    let message = format!(
        "This is not the first draw of the trial: {beside}. The verdict follows the last draw; say with it why the \
         treatments were drawn again."
    );
    Some(Warning::at(NOT_AS_SEALED, message, folder.shown(place)))
}

/// What differs from the seal. Where blocks were formed from counts before treatment, those on file
/// now are held against those sealed.
fn differences(
    folder: &TrialFolder<'_>,
    seal: &Seal,
    protocol: &Protocol,
    greens: &[Green],
    layout: &Layout,
) -> Result<Vec<Difference>, Refusal> {
    if protocol.design.arrangement.block_by != BlockBy::BeforeCounts {
        return Ok(verify(seal, protocol, greens, layout)?);
    }
    let found = match before(folder, protocol, greens) {
        Ok(Some(found)) => found,
        Ok(None) => return Ok(graves(&no_before_counts(folder).into())),
        Err(refusal) => return Ok(graves(&refusal)),
    };
    let mut counted = protocol.clone();
    counted.design.arrangement.before = found.counts;
    Ok(verify(seal, &counted, greens, layout)?)
}

/// That counts are dated before the day of the seal.
pub(in crate::commands) fn early_counts(
    folder: &TrialFolder<'_>,
    protocol: &Protocol,
    seal: Option<&Seal>,
    check: &Check,
) -> Option<Warning> {
    let counts = check.counts.as_ref()?.observations().iter();
    let dated = counts.map(|o| (o.occasion.as_str(), o.date, o.line));
    counted_before_sealed(&folder.shown(folder.counts_name()), protocol, seal?, dated)
}

/// The same of readings.
pub(in crate::commands) fn early_readings(
    folder: &TrialFolder<'_>,
    protocol: &Protocol,
    seal: Option<&Seal>,
    check: &ReadingsCheck,
) -> Option<Warning> {
    let readings = check.readings.as_ref()?.iter();
    let dated = readings.map(|r| (r.occasion.as_str(), r.date, r.line));
    counted_before_sealed(&folder.shown(folder.counts_name()), protocol, seal?, dated)
}

/// Blocks that were formed from counts cannot be checked without them.
pub(in crate::commands) fn no_before_counts(folder: &TrialFolder<'_>) -> Error {
    Error::new(
        folder.shown(COUNTS),
        "there are no counts before treatment, from which the blocks of this trial are formed",
        "Restore their lines, or lay the trial out first: `halfgreen layout`.",
    )
}
