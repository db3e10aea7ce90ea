//! `report`: the verdict as pages and pictures.

mod next_season;
mod turf;

use std::path::PathBuf;

use serde::Serialize;

use super::commands::Context;
use super::files;
use super::judge;
use super::output::{Output, Refusal};
use super::show;
use crate::judgement::{Verdict, judge};
use crate::report::{Findings, Pages, pages};
use crate::store::{NewFile, REPORT, Replace, TrialFolder, write_all};

/// Arguments of `report`.
#[derive(Debug, clap::Args)]
pub(super) struct Args {
    /// Folder of the trial
    dir: PathBuf,
}

/// The `result` of `report`.
#[derive(Debug, Serialize)]
struct Written {
    files: Vec<String>,
}

pub(super) fn run(args: &Args, context: &Context) -> Result<Output, Refusal> {
    let folder = TrialFolder::open(&args.dir)?;
    let read = files::protocol(&folder)?;
    if !read.protocol.response.kind.is_count() {
        return turf::run(&folder, read, context.seed);
    }
    let told = tell(&folder, context.seed)?;
    write_all(&told.files)?;
    let files = told.names();
    let text = format!("{}\nWritten:\n  {}\n", told.words, files.join("\n  "));
    let mut output = Output::new(Written { files }, text)?.with_warnings(told.judged.warnings);
    output.seed = told.judged.seed;
    Ok(output)
}

/// A report that is ready to be written.
#[derive(Debug)]
pub(super) struct Told {
    /// Pages, figures and results, which may replace those of an earlier report.
    pub(super) files: Vec<NewFile>,
    /// What `judge` would have given back.
    pub(super) judged: Output,
    /// The verdicts.
    pub(super) verdicts: Vec<Verdict>,
    /// Verdicts and what they rest on, for the terminal.
    pub(super) words: String,
    /// What next season needs, in a sentence.
    pub(super) next: String,
}

impl Told {
    /// Paths of the files as the user would type them.
    pub(super) fn names(&self) -> Vec<String> {
        names_of(&self.files)
    }
}

/// Pages, figures and results as files.
fn files_of(folder: &TrialFolder, pages: Pages, results: String) -> Vec<NewFile> {
    let mut texts = vec![
        ("report.html".to_owned(), pages.report),
        ("members.html".to_owned(), pages.members),
        ("results.json".to_owned(), results),
    ];
    let svg = pages.figures.into_iter();
    texts.extend(svg.map(|f| (format!("{}.svg", f.name), f.svg)));
    let file = |(name, text)| NewFile {
        path: folder.join(REPORT).join(name),
        text,
        replace: Replace::Own,
    };
    texts.into_iter().map(file).collect()
}

/// Paths as the user would type them.
fn names_of(files: &[NewFile]) -> Vec<String> {
    let shown = |f: &NewFile| {
        let path = f.path.strip_prefix(".").unwrap_or(&f.path);
        path.display().to_string()
    };
    files.iter().map(shown).collect()
}

/// Judges a trial and makes its report.
pub(super) fn tell(folder: &TrialFolder, seed: Option<u64>) -> Result<Told, Refusal> {
    let trial = files::trial(folder, seed)?;
    let (judgement, warnings) = judge(&trial.data, trial.seed)?;
    let judged = judge::output(&trial.data, &judgement, warnings, trial.seed)?;
    let results = show::document_text(&judged, "judge")?;
    let next = next_season::next_season(&trial.protocol, &results);
    let pages = pages(&Findings {
        protocol: &trial.protocol,
        layout: &trial.layout,
        greens: &trial.greens,
        seal: trial.seal.as_ref(),
        counts: &trial.counts,
        data: &trial.data,
        judgement: &judgement,
        warnings: &judged.warnings,
        seed: trial.seed,
        next: &next,
    })?;
    Ok(Told {
        files: files_of(folder, pages, results),
        words: judge::told(&judgement),
        verdicts: judgement.verdicts,
        next: next.sentence,
        judged,
    })
}
