//! An archive as one thing to pool: the effects of its trials, what it left out, and whether all of it is judged.

use std::path::Path;

use super::super::{Refusal, Surroundings};
use super::inputs::{Named, Read, table};
use crate::association::LeftOut;
use crate::store::{ARCHIVED_EFFECTS, ARCHIVED_LEFT_OUT, Entry, LEDGER};
use crate::table::{Problem, RawTable, Rule};
use crate::text::spelling::number;
use crate::{Error, Warning};

/// Whether a folder is an archive.
pub(super) fn is_archive(folder: &Path, at: &Surroundings<'_>) -> bool {
    let holds = |name: &str| at.sources.entry(&folder.join(name)) == Entry::File;
    holds(LEDGER) || holds(ARCHIVED_EFFECTS)
}

/// The effects of an archive's trials, as they were when all were judged.
pub(super) fn effects(
    folder: &Path,
    at: &Surroundings<'_>,
    read: &mut Read,
) -> Result<Vec<Named>, Refusal> {
    let effects = folder.join(ARCHIVED_EFFECTS);
    let shown = folder.display().to_string();
    if at.sources.entry(&effects) != Entry::File {
        let cure = format!("Judge them: halfgreen archive judge {shown}");
        let what = "not all trials of this archive are judged, so that it has no table of effects";
        return Err(Error::new(shown, what, cure).into());
    }
    let open = to_judge(folder, at)?;
    if open > 0 {
        let message = format!(
            "{} of this archive not judged yet, and not pooled: halfgreen archive judge {shown}",
            number(open, "trial")
        );
        read.warnings
            .push(Warning::at("not-all-judged", message, shown));
    }
    read.left_out.extend(left_out(folder, at)?);
    table(&effects, at, read)
}

/// What was left out when trials were added and judged.
fn left_out(folder: &Path, at: &Surroundings<'_>) -> Result<Vec<LeftOut>, Refusal> {
    let path = folder.join(ARCHIVED_LEFT_OUT);
    if at.sources.entry(&path) != Entry::File {
        return Ok(Vec::new());
    }
    let table = match RawTable::read(&path.display().to_string(), &at.sources.text(&path)?) {
        Ok(table) => table,
        // Nothing was left out.
        Err(problems) if problems.iter().all(|p| p.rule == Rule::EmptyFile) => {
            return Ok(Vec::new());
        }
        Err(problems) => return Err(problems.into()),
    };
    let column = |name: &str| table.required(name).map_err(|p: Problem| vec![p]);
    let (place, reason) = (column("place")?, column("reason")?);
    let told = table.rows.iter().map(|row| LeftOut {
        place: row[place].text.clone(),
        reason: row[reason].text.clone(),
    });
    Ok(told.collect())
}

/// Trials that were added since, or are not judged for another reason.
#[cfg(feature = "archive")]
fn to_judge(folder: &Path, at: &Surroundings<'_>) -> Result<usize, Error> {
    // Tables that lie in memory alone are what they are.
    let Ok(archive) = at.sources.archive(folder) else {
        return Ok(0);
    };
    if at.sources.entry(&folder.join(LEDGER)) != Entry::File {
        return Ok(0);
    }
    let ledger = archive.ledger()?;
    let judged = archive.outcomes(&ledger)?;
    Ok(ledger.trials().count() - judged.len())
}

/// A build that cannot read archives takes their tables as they are.
#[cfg(not(feature = "archive"))]
#[expect(clippy::unnecessary_wraps, reason = "other builds can fail here")]
fn to_judge(_folder: &Path, _at: &Surroundings<'_>) -> Result<usize, Error> {
    Ok(0)
}
