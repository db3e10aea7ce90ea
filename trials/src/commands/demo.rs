//! `demo`: the whole job on an invented club's trial.

use std::path::{Path, PathBuf};

use serde::{Deserialize, Serialize};

use super::layout::{Draw, sealed_layout};
use super::order;
use super::pack::made;
use super::report::{self, Told, tell};
use super::request::required;
use super::trial;
use super::{Answer, Refusal, Side, Surroundings, Table, Words};
use crate::Error;
use crate::judgement::Verdict;
use crate::store::{COUNTS, Entry, NewFile, OUTLINE_CSV, Sources, TRIAL, Texts, TrialFolder};

/// What is asked of `demo`.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Request {
    /// Folder to make; the next free name beside it if an earlier demonstration is there.
    pub dir: PathBuf,
    /// Seed of sampled allocations; if not given, that of the draw.
    pub seed: Option<u64>,
}

impl Default for Request {
    fn default() -> Self {
        Self {
            dir: PathBuf::from("halfgreen-demo"),
            seed: None,
        }
    }
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
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Shown {
    /// The folder.
    pub dir: String,
    /// That its counts are made up.
    pub invented: bool,
    /// Its files, as the user would type them.
    pub files: Vec<String>,
    /// The verdicts.
    pub verdicts: Vec<Verdict>,
    /// What next season needs, in a sentence.
    pub next_season: String,
}

/// Makes the invented club's trial folder and does the whole job on it.
///
/// # Errors
/// A name under which something else than a demonstration lies.
pub fn run(request: &Request, at: &Surroundings<'_>) -> Result<Answer<Shown>, Refusal> {
    required(&[("dir", &request.dir)])?;
    let dir = free(&request.dir, at.sources)?;
    let mut files = CLUB
        .map(|(name, text)| NewFile::first("demo", &dir, name, text.to_owned()))
        .to_vec();
    // Nothing is on the disk yet: the steps read what the steps before gave.
    let brought = in_memory(&files);
    let folder = TrialFolder::open(&brought, &dir)?;
    let read = trial::protocol(&folder)?;
    let greens = trial::greens(&folder, &read.protocol)?;
    let draw = Draw {
        // The counts belong to this draw: another seed would be another trial.
        seed: read.protocol.design.seed.unwrap_or(1),
        time: SEALED,
        replace: false,
    };
    let (laid, drawn) = sealed_layout(&folder, &read.protocol, &read.supplies, &greens, &draw)?;
    files.extend(drawn);
    let sealed = in_memory(&files);
    let folder = TrialFolder::open(&sealed, &dir)?;
    let check = trial::check(&folder, &read.protocol, &laid.layout)?;
    let seal = trial::seal(&folder)?;
    if let Some(seal) = &seal {
        files.extend(made(&folder, &read.protocol, &laid.layout, &greens, seal)?.files);
    }
    let ordered = ordered(&dir, &sealed, at)?;
    files.extend(ordered.files);
    let asked = report::Request {
        seed: request.seed,
        ..report::Request::default()
    };
    let mut told = tell(&folder, &asked, at)?;
    files.append(&mut told.files);
    told.warnings.extend(ordered.warnings);
    let steps = [
        (
            "measured",
            format!(
                "a green of {:.0} m2 from its outline",
                greens.iter().map(|g| g.outline.area_m2()).sum::<f64>()
            ),
        ),
        (
            "laid out",
            format!(
                "{} plots inside it, with guard strips",
                laid.layout.plots.len()
            ),
        ),
        (
            "drawn",
            format!(
                "one of {} allocations, seed {}, sealed",
                laid.allocations, draw.seed
            ),
        ),
        ("ordered", ordered.result.in_short()),
        (
            "packed",
            "pages to peg out and count by, tables to fill in".to_owned(),
        ),
        (
            "checked",
            format!("{} counts against the layout", check.result.counts),
        ),
        (
            "judged",
            "cores summed by plot, plots compared within their pairs".to_owned(),
        ),
    ];
    let words = words(&dir, &read.protocol.trial.title, steps, &told);
    let shown = Shown {
        dir: dir.display().to_string(),
        invented: true,
        files: files.iter().map(NewFile::shown).collect(),
        verdicts: told.verdicts,
        next_season: told.next,
    };
    Ok(Answer::new(shown, words)
        .with_warnings(told.warnings)
        .with_files(files)
        .with_seed(told.seed))
}

/// What the night needs, by the club's own protocol.
fn ordered(
    dir: &Path,
    sealed: &Texts,
    at: &Surroundings<'_>,
) -> Result<Answer<order::Ordered>, Refusal> {
    let request = order::Request {
        dir: dir.to_path_buf(),
        ..order::Request::default()
    };
    order::run(&request, &Surroundings::new(sealed, at.now, at.fresh_seed))
}

/// Files that are to be written, for those who read them before.
fn in_memory(files: &[NewFile]) -> Texts {
    let mut texts = Texts::default();
    for file in files {
        texts.put(file.path(), file.content.as_slice());
    }
    texts
}

/// The demonstration in words: steps, verdict, where to look.
fn words(dir: &Path, title: &str, steps: [(&str, String); 7], told: &Told) -> Words {
    let mut words = Words::default();
    words.line(format!(
        "{title} (an invented club; its counts are made up)"
    ));
    let two_columns = || Table::new([("", Side::Left), ("", Side::Left)]);
    let mut table = two_columns();
    for (step, what) in steps {
        table.row([step.to_owned(), what]);
    }
    words.table(table);
    words.append(told.words.clone());
    words.paragraph([format!("Next season: {}", told.next)]);
    let shown = dir.display();
    let mut places = two_columns();
    for (what, place) in [
        (
            "Order:",
            format!("{shown}/order/order.html, {shown}/order/night.html"),
        ),
        ("Field pack:", format!("{shown}/pack/sheets.html")),
        ("Report:", format!("{shown}/report/report.html")),
        ("For members:", format!("{shown}/report/members.html")),
        (
            "Try next:",
            format!(
                "halfgreen layout {shown} --verify, halfgreen judge {shown}, halfgreen new my-trial"
            ),
        ),
    ] {
        places.row([what.to_owned(), place]);
    }
    words.table(places);
    words
}

/// The folder itself if nothing is there, the next free `<name>-2`, `-3` ... if earlier demonstrations are.
fn free(asked: &Path, sources: &dyn Sources) -> Result<PathBuf, Error> {
    let numbered = |n: usize| {
        let name = asked.file_name().unwrap_or_default().to_string_lossy();
        asked.with_file_name(format!("{name}-{n}"))
    };
    let candidates = std::iter::once(asked.to_path_buf()).chain((2..usize::MAX).map(numbered));
    for dir in candidates {
        match sources.entry(&dir) {
            Entry::Nothing | Entry::EmptyFolder => return Ok(dir),
            Entry::Folder if is_demonstration(&dir, sources) => {}
            Entry::File | Entry::Folder => {
                return Err(Error::new(
                    dir.display().to_string(),
                    "this is there already and is no demonstration",
                    "Name another folder: `halfgreen demo DIR`.",
                ));
            }
        }
    }
    Ok(asked.to_path_buf())
}

/// A folder is a demonstration if its protocol starts as the invented club's does.
fn is_demonstration(dir: &Path, sources: &dyn Sources) -> bool {
    let first = |text: &str| text.lines().next().map(str::to_owned);
    let protocol = sources.text(&dir.join(TRIAL));
    protocol.is_ok_and(|text| first(&text) == first(CLUB[0].1))
}
