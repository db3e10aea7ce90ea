//! `new`: a starter folder.

use std::path::PathBuf;

use serde::Serialize;

use super::commands::Context;
use super::output::Output;
use crate::commands::Refusal;
use crate::commands::trial as files;
use crate::design::starter;
use crate::store::{NewFile, OUTLINE_CSV, OUTLINE_GEOJSON, Replace, TRIAL, TrialFolder, write_all};

/// Arguments of `new`.
#[derive(Debug, clap::Args)]
pub(super) struct Args {
    /// Folder to start the trial in; made if it is not there
    dir: PathBuf,
}

/// The `result` of `new`.
#[derive(Debug, Serialize)]
struct Started {
    files: Vec<String>,
}

pub(super) fn run(args: &Args, _context: &Context) -> Result<Output, Refusal> {
    let file = |name: &str, text: &str| NewFile {
        path: args.dir.join(name),
        text: text.to_owned(),
        replace: Replace::Never,
    };
    let mut files = vec![file(TRIAL, starter::TRIAL)];
    // A green that was measured with a map is not given a second outline.
    if !args.dir.join(OUTLINE_GEOJSON).exists() {
        files.push(file(OUTLINE_CSV, starter::OUTLINE));
    }
    write_all(&files)?;
    let disk = crate::store::Disk::default();
    let cautions = files::protocol(&TrialFolder::open(&disk, &args.dir)?)?.cautions;
    let shown: Vec<String> = files.iter().map(|f| f.path.display().to_string()).collect();
    let dir = args.dir.display();
    let text = format!(
        "Started a trial in {dir}\n  {TRIAL}    the question, the treatments, the plots: every line is explained\n  \
         {OUTLINE_CSV}   the corners of the green in metres: replace them with yours\n\n\
         Fill in both, then run: halfgreen layout {dir}\n\n\
         Counts go into {dir}/counts.csv, one line for each core, for example:\n{}",
        starter::COUNTS_EXAMPLE
    );
    Ok(Output::new(Started { files: shown }, text)?.with_warnings(cautions))
}
