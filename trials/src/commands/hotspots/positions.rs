//! Single holes or larvae on one green.

use std::path::{Path, PathBuf};

use serde::Serialize;

use super::super::columns::refused;
use super::super::trial::outline_file;
use super::super::{Answer, Refusal, Surroundings, Words};
use super::{Found, Request, files_in, needed};
use crate::mapping::{Pattern, pattern, pattern_pictures, positions_from_table};
use crate::{Error, Warning};

/// How single positions lie to each other.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Positions {
    /// The point pattern.
    pub pattern: Pattern,
}

pub(super) fn run(
    request: &Request,
    table: &Path,
    at: &Surroundings<'_>,
) -> Result<Answer<Found>, Refusal> {
    let (x, y) = (
        needed("x", request.x.as_ref())?,
        needed("y", request.y.as_ref())?,
    );
    let given = request.outline.as_ref().filter(|o| **o != PathBuf::new());
    let outline = given.ok_or_else(|| {
        let what =
            "it is not given, and positions mean something only on the ground that was searched";
        Error::in_field("outline", what, "Give it.")
    })?;
    let outline = outline_file(at.sources, outline)?;
    let shown = table.display().to_string();
    let text = at.sources.table(table)?;
    let places = positions_from_table(&shown, &text, (x, y), &outline).map_err(|faults| {
        let named = [("x", Some(x)), ("y", Some(y))];
        refused(faults, (&shown, &text), &named)
    })?;
    let found = pattern(
        &places,
        &outline,
        request.permutations as usize,
        request.seed,
    )?;
    let mut warnings: Vec<Warning> = outline.repairs.iter().cloned().map(Warning::from).collect();
    warnings.extend(found.cautions.iter().cloned().map(Warning::from));
    let files = files_in(request.out.as_deref(), || {
        pattern_pictures(&found, &outline)
    })?;
    let mut words = Words::default();
    words.paragraph(found.meaning.iter().cloned());
    words.written(&files);
    let result = Found::Positions(Positions { pattern: found });
    Ok(Answer::new(result, words)
        .with_warnings(warnings)
        .with_files(files)
        .with_seed(request.seed))
}
