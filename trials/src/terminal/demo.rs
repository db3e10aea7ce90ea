//! `demo`: the whole job on an invented club's trial.

use std::fmt::Write;
use std::path::{Path, PathBuf};

use serde::Serialize;

use super::commands::Context;
use super::layout::sealed_layout;
use super::output::Output;
use super::report::{Told, tell};
use crate::Error;
use crate::commands::Refusal;
use crate::commands::trial as files;
use crate::judgement::Verdict;
use crate::store::{
    COUNTS, NewFile, OUTLINE_CSV, Replace, TRIAL, TrialFolder, read_text, write_all,
};

/// Arguments of `demo`.
#[derive(Debug, clap::Args)]
pub(super) struct Args {
    /// Folder to make; the next free name beside it if an earlier demonstration is there
    #[arg(default_value = "halfgreen-demo")]
    dir: PathBuf,
}

/// The invented club's files: what a user would bring. How the counts were made is told in
/// `data-examples/README.md`.
const CLUB: [(&str, &str); 3] = [
    (
        TRIAL,
        include_str!("../../../data-examples/demo-club/trial.toml"),
    ),
    (
        OUTLINE_CSV,
        include_str!("../../../data-examples/demo-club/outline.csv"),
    ),
    (
        COUNTS,
        include_str!("../../../data-examples/demo-club/counts.csv"),
    ),
];

/// When the invented club sealed its layout: a clock would make every demonstration differ.
const SEALED: &str = "2026-09-08T16:30:00Z";

/// The `result` of `demo`.
#[derive(Debug, Serialize)]
struct Shown {
    dir: String,
    invented: bool,
    files: Vec<String>,
    verdicts: Vec<Verdict>,
    next_season: String,
}

pub(super) fn run(args: &Args, context: &Context) -> Result<Output, Refusal> {
    let dir = free(&args.dir)?;
    let brought = CLUB.map(|(name, text)| NewFile {
        path: dir.join(name),
        text: text.to_owned(),
        replace: Replace::Never,
    });
    write_all(&brought)?;
    let disk = crate::store::Disk::default();
    let folder = TrialFolder::open(&disk, &dir)?;
    let read = files::protocol(&folder)?;
    let greens = files::greens(&folder, &read.protocol)?;
    // The counts belong to this draw: another seed would be another trial.
    let seed = read.protocol.design.seed.unwrap_or(1);
    let (laid, drawn) = sealed_layout(
        &folder,
        &read.protocol,
        &read.supplies,
        &greens,
        (seed, SEALED),
        false,
    )?;
    write_all(&drawn)?;
    let check = files::check(&folder, &read.protocol, &laid.layout)?;
    let told = tell(&folder, context.seed)?;
    write_all(&told.files)?;
    let mut names: Vec<String> = brought
        .iter()
        .chain(&drawn)
        .map(|f| f.path.display().to_string())
        .collect();
    names.extend(told.names());
    let steps = Steps {
        green: greens.iter().map(|g| g.outline.area_m2()).sum(),
        plots: laid.layout.plots.len(),
        allocations: &laid.allocations,
        seed,
        counts: check.result.counts,
    };
    let text = words(&dir, &read.protocol.trial.title, &steps, &told);
    let shown = Shown {
        dir: dir.display().to_string(),
        invented: true,
        files: names,
        verdicts: told.verdicts,
        next_season: told.next,
    };
    let mut output = Output::new(shown, text)?.with_warnings(told.judged.warnings);
    output.seed = told.judged.seed;
    Ok(output)
}

/// What the demonstration went through.
struct Steps<'a> {
    green: f64,
    plots: usize,
    allocations: &'a str,
    seed: u64,
    counts: usize,
}

/// The demonstration in words: steps, verdict, where to look.
fn words(dir: &Path, title: &str, steps: &Steps<'_>, told: &Told) -> String {
    let mut text = format!("{title} (an invented club; its counts are made up)\n\n");
    let lines = [
        (
            "measured",
            format!("a green of {:.0} m2 from its outline", steps.green),
        ),
        (
            "laid out",
            format!("{} plots inside it, with guard strips", steps.plots),
        ),
        (
            "drawn",
            format!(
                "one of {} allocations, seed {}, sealed",
                steps.allocations, steps.seed
            ),
        ),
        (
            "checked",
            format!("{} counts against the layout", steps.counts),
        ),
        (
            "judged",
            "cores summed by plot, plots compared within their pairs\n".to_owned(),
        ),
    ];
    for (step, what) in lines {
        // Writing into a text cannot fail.
        writeln!(text, "{step:<10}{what}").unwrap_or_default();
    }
    let shown = dir.display();
    text.push_str(&told.words);
    write!(
        text,
        "\nNext season: {}\n\nReport:      {shown}/report/report.html\nFor members: {shown}/report/members.html\n\
         Try next:    halfgreen layout {shown} --verify, halfgreen judge {shown}, halfgreen new my-trial\n",
        told.next
    )
    .unwrap_or_default();
    text
}

/// The folder itself if nothing is there, the next free `<name>-2`, `-3` ... if earlier demonstrations are.
fn free(asked: &Path) -> Result<PathBuf, Error> {
    let numbered = |n: usize| {
        let name = asked.file_name().unwrap_or_default().to_string_lossy();
        asked.with_file_name(format!("{name}-{n}"))
    };
    let candidates = std::iter::once(asked.to_path_buf()).chain((2..usize::MAX).map(numbered));
    for dir in candidates {
        if dir.symlink_metadata().is_err() || is_empty_folder(&dir) {
            return Ok(dir);
        }
        if !is_demonstration(&dir) {
            return Err(Error::new(
                dir.display().to_string(),
                "this is there already and is no demonstration",
                "Name another folder: `halfgreen demo DIR`.",
            ));
        }
    }
    Ok(asked.to_path_buf())
}

fn is_empty_folder(dir: &Path) -> bool {
    dir.read_dir()
        .is_ok_and(|mut entries| entries.next().is_none())
}

/// A folder is a demonstration if its protocol starts as the invented club's does.
fn is_demonstration(dir: &Path) -> bool {
    let first = |text: &str| text.lines().next().map(str::to_owned);
    read_text(&dir.join(TRIAL)).is_ok_and(|text| first(&text) == first(CLUB[0].1))
}
