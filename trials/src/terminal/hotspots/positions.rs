//! `hotspots --positions`: single holes or larvae on one green.

use std::path::Path;

use serde::Serialize;

use super::super::files;
use super::super::output::{Output, Refusal};
use super::{files_in, listed};
use crate::Warning;
use crate::mapping::{Pattern, pattern, pattern_pictures, positions_from_table};
use crate::store::{read_text, write_all};

/// What is asked about positions.
#[derive(Debug)]
pub(super) struct Question<'a> {
    pub(super) file: &'a Path,
    pub(super) x: &'a str,
    pub(super) y: &'a str,
    pub(super) outline: &'a Path,
    pub(super) simulations: usize,
    pub(super) out: Option<&'a Path>,
    pub(super) seed: u64,
}

/// The `result`.
#[derive(Debug, Serialize)]
struct Answer<'a> {
    pattern: &'a Pattern,
}

pub(super) fn run(asked: &Question<'_>) -> Result<Output, Refusal> {
    let outline = files::outline_file(asked.outline)?;
    let shown = asked.file.display().to_string();
    let text = read_text(asked.file)?;
    let places = positions_from_table(&shown, &text, (asked.x, asked.y), &outline)?;
    let found = pattern(&places, &outline, asked.simulations, asked.seed)?;
    let mut warnings: Vec<Warning> = outline.repairs.iter().cloned().map(Warning::from).collect();
    warnings.extend(found.cautions.iter().cloned().map(Warning::from));
    let mut text = found.meaning.join("\n");
    text.push('\n');
    let written = files_in(asked.out, || pattern_pictures(&found, &outline))?;
    write_all(&written)?;
    text.push_str(&listed(&written));
    let mut output = Output::new(&Answer { pattern: &found }, text)?.with_warnings(warnings);
    output.seed = Some(asked.seed);
    Ok(output)
}
