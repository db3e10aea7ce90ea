//! `hotspots --positions`: single holes or larvae on one green.

use std::fmt::Write;
use std::path::{Path, PathBuf};

use serde::Serialize;

use super::files as folder_files;
use super::output::{Output, Refusal};
use crate::Warning;
use crate::mapping::{Pattern, pattern, pattern_pictures, positions_from_table};
use crate::store::{NewFile, Replace, read_text, write_all};

/// What is asked about positions.
#[derive(Debug)]
pub(super) struct Question<'a> {
    pub(super) file: &'a Path,
    pub(super) x: &'a str,
    pub(super) y: &'a str,
    pub(super) outline: &'a Path,
    pub(super) simulations: usize,
    pub(super) out: Option<&'a PathBuf>,
    pub(super) seed: u64,
}

/// The `result`.
#[derive(Debug, Serialize)]
struct Answer<'a> {
    pattern: &'a Pattern,
}

pub(super) fn run(asked: &Question<'_>) -> Result<Output, Refusal> {
    let outline = folder_files::outline_file(asked.outline)?;
    let shown = asked.file.display().to_string();
    let text = read_text(asked.file)?;
    let places = positions_from_table(&shown, &text, (asked.x, asked.y), &outline)?;
    let found = pattern(&places, &outline, asked.simulations, asked.seed)?;
    let mut warnings: Vec<Warning> = outline.repairs.iter().cloned().map(Warning::from).collect();
    warnings.extend(found.cautions.iter().cloned().map(Warning::from));
    let mut text = found.meaning.join("\n");
    text.push('\n');
    if let Some(dir) = asked.out {
        let pictures = pattern_pictures(&found, &outline).into_iter();
        let files: Vec<NewFile> = pictures
            .map(|p| NewFile {
                path: dir.join(p.name),
                text: p.svg,
                replace: Replace::Allowed,
            })
            .collect();
        write_all(&files)?;
        for file in &files {
            // Writing into a text cannot fail.
            writeln!(text, "written: {}", file.path.display()).unwrap_or_default();
        }
    }
    let mut output = Output::new(&Answer { pattern: &found }, text)?.with_warnings(warnings);
    output.seed = Some(asked.seed);
    Ok(output)
}
