//! `new`: a starter folder, in which every field is explained.

use std::path::PathBuf;

use serde::{Deserialize, Serialize};

use super::request::required;
use super::{Answer, Refusal, Surroundings, Words};
use crate::design::{read_protocol, starter};
use crate::store::{Entry, NewFile, OUTLINE_CSV, OUTLINES, TRIAL};

/// What is asked of `new`.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Request {
    /// Folder to start the trial in.
    pub dir: PathBuf,
}

/// The result of `new`.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Started {
    /// The files that start the trial.
    pub files: Vec<String>,
}

/// Starts a trial.
///
/// # Errors
/// No folder is named.
pub fn run(request: &Request, at: &Surroundings<'_>) -> Result<Answer<Started>, Refusal> {
    required(&[("dir", &request.dir)])?;
    let file = |name: &str, text: &str| NewFile::first("new", &request.dir, name, text.to_owned());
    let mut files = vec![file(TRIAL, starter::TRIAL)];
    // A green that was measured already is not given a second outline.
    let is_there = |name: &&str| at.sources.entry(&request.dir.join(name)) != Entry::Nothing;
    let measured = OUTLINES.into_iter().find(is_there);
    if measured.is_none() {
        files.push(file(OUTLINE_CSV, starter::OUTLINE));
    }
    let shown: Vec<String> = files.iter().map(NewFile::shown).collect();
    let cautions = read_protocol(&shown[0], starter::TRIAL)?.cautions;
    let words = words(&request.dir.display().to_string(), measured);
    Ok(Answer::new(Started { files: shown }, words)
        .with_warnings(cautions)
        .with_files(files))
}

/// What was started; `measured` is an outline that was there before.
fn words(dir: &str, measured: Option<&str>) -> Words {
    let mut words = Words::default();
    let (outline, fill) = match measured {
        None => (
            format!("{OUTLINE_CSV}   the corners of the green in metres: replace them with yours"),
            "Fill in both",
        ),
        Some(name) => (
            format!("{name} is there already and is left as it is"),
            "Fill it in",
        ),
    };
    words.section(
        format!("Started a trial in {dir}"),
        [
            format!("{TRIAL}    the question, the treatments, the plots: every line is explained"),
            outline,
        ],
    );
    words.paragraph([format!("{fill}, then run: halfgreen layout {dir}")]);
    words.paragraph([format!(
        "Counts go into {dir}/counts.csv, one line for each core, for example:"
    )]);
    words.as_written(starter::COUNTS_EXAMPLE);
    words
}
