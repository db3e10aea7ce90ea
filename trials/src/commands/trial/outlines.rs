//! The greens of a trial, and outlines in whichever form a file holds them.

use std::path::Path;

use super::super::Refusal;
use crate::area::{Outline, read_csv, read_geojson, read_gpx, read_tape};
use crate::design::{Green, GreenShare, Protocol};
use crate::store::{Sources, TrialFolder};
use crate::{Error, Warning};

/// The greens of a trial folder: those the protocol names, or the one outline without a name.
pub(in crate::commands) fn greens(
    folder: &TrialFolder<'_>,
    protocol: &Protocol,
) -> Result<Vec<Green>, Refusal> {
    let named = &protocol.design.arrangement.greens;
    if named.is_empty() {
        let (name, text) = folder.outline()?;
        let outline = read_outline(&folder.shown(name), &text)?;
        return Ok(vec![Green {
            name: None,
            outline,
        }]);
    }
    let read = |share: &GreenShare| -> Result<Green, Refusal> {
        let text = folder.text(&share.outline)?;
        Ok(Green {
            name: Some(share.name.clone()),
            outline: read_outline(&folder.shown(&share.outline), &text)?,
        })
    };
    named.iter().map(read).collect()
}

/// Names of the outlines' files, in the order of the greens.
pub(in crate::commands) fn outline_files(
    folder: &TrialFolder<'_>,
    protocol: &Protocol,
) -> Result<Vec<String>, Refusal> {
    let named = &protocol.design.arrangement.greens;
    if named.is_empty() {
        return Ok(vec![folder.outline()?.0.to_owned()]);
    }
    Ok(named.iter().map(|share| share.outline.clone()).collect())
}

/// Harmless slips put right in the outlines.
pub(in crate::commands) fn repairs(greens: &[Green]) -> impl Iterator<Item = Warning> {
    let all = greens.iter().flat_map(|g| &g.outline.repairs);
    all.cloned().map(Warning::from)
}

/// An outline in whichever form a file holds it: told by its ending, and for CSV by its columns.
pub(in crate::commands) fn outline_file(
    sources: &dyn Sources,
    path: &Path,
) -> Result<Outline, Refusal> {
    Ok(read_outline(
        &path.display().to_string(),
        &sources.text(path)?,
    )?)
}

/// A walked edge is thinned by corners that lie within this of the line through their neighbours:
/// half the width of a mower's wheel, far below what a telephone's position is good for.
const JITTER_M: f64 = 0.05;

fn read_outline(file: &str, text: &str) -> Result<Outline, Vec<Error>> {
    let ending = file.rsplit('.').next().unwrap_or_default().to_lowercase();
    let header = text.lines().next().unwrap_or_default();
    match ending.as_str() {
        "geojson" | "json" => read_geojson(file, text),
        "gpx" => read_gpx(file, text, JITTER_M),
        _ if header.contains("distance_m") => read_tape(file, text),
        _ => read_csv(file, text),
    }
}
