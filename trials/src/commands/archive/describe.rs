//! `archive describe`: number, mean and variance by club and treatment, and what the trials teach for the next one.

use std::collections::BTreeMap;

use jiff::civil::Date;
use rayon::prelude::*;
use serde::Serialize;

use super::super::request::required;
use super::super::{Answer, Refusal, Surroundings};
use super::passes::each_block;
use super::{Describe, words};
use crate::Error;
use crate::association::archive::{
    ClubHead, Ledger, Outcome, Piece, Setting, Sums, SumsBy, TrialEntry, settings,
};
use crate::progress::tell;
use crate::ranges::request::ARCHIVE_MONTH;
use crate::ranges::within_limits;
use crate::store::Archive;

/// The `result` of `archive describe`.
#[derive(Debug, Clone, Default, PartialEq, Serialize)]
pub struct Described {
    /// Trials that were described; 0 of a table, which is not parted into trials.
    pub trials: usize,
    /// Counts.
    pub counts: u64,
    /// Lines of a table without a count, or with something else in its place.
    pub not_counted: u64,
    /// Sums by club and treatment.
    pub groups: Vec<Group>,
    /// What the trials that are judged teach of the ground, by setting; empty of a table.
    pub settings: Vec<Setting>,
    /// Trials that are described and not judged yet, which teach nothing of the ground.
    pub to_judge: usize,
}

/// Counts of a treatment at a club.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Group {
    /// Club.
    pub club: String,
    /// Treatment.
    pub treatment: String,
    /// Counts.
    pub n: u64,
    /// Animals.
    pub total: u64,
    /// Mean count.
    pub mean: Option<f64>,
    /// Variance of the counts, with n - 1 below; null of one.
    pub variance: Option<f64>,
}

/// Describes an archive or a table.
pub(super) fn run(request: &Describe, at: &Surroundings<'_>) -> Result<Answer<Described>, Refusal> {
    required(&[("archive", &request.archive)])?;
    within_limits(&[(ARCHIVE_MONTH, request.month.map(f64::from))])?;
    let archive = at.sources.archive(&request.archive)?;
    let found = if archive.is_table() {
        table(request, &archive)?
    } else {
        of_archive(request, &archive, at)?
    };
    let words = words::described(&found);
    Ok(Answer::new(found, words))
}

fn groups(sums: SumsBy) -> Vec<Group> {
    let groups = sums.groups.into_iter();
    groups
        .map(|((club, treatment), sums)| Group {
            club,
            treatment,
            n: sums.n,
            total: sums.total,
            mean: sums.mean(),
            variance: sums.variance(),
        })
        .collect()
}

/// A table of any size, line by line.
fn table(request: &Describe, archive: &Archive) -> Result<Described, Refusal> {
    let needed = |field: &str, value: &Option<String>| {
        value.clone().ok_or_else(|| {
            let what = "it is not given, and a table is described by club, treatment and count";
            Error::in_field(field, what, "Name the column, or the folder of an archive.")
        })
    };
    let columns = [
        needed("club", &request.club)?,
        needed("treatment", &request.treatment)?,
        needed("count", &request.count)?,
    ];
    let mut text = archive.lines(&request.archive)?;
    let head = ClubHead::of(&archive.shown(), &text.head()?, &columns)?;
    let (mut sums, mut not_counted) = (SumsBy::default(), 0);
    each_block(
        &mut text,
        |block| head.sums(&block.text, block.first_line),
        |(some, faults)| {
            sums.merge(&some);
            not_counted += faults;
            Ok(())
        },
    )?;
    let groups = groups(sums);
    Ok(Described {
        counts: groups.iter().map(|g| g.n).sum(),
        not_counted,
        groups,
        ..Described::default()
    })
}

fn of_archive(
    request: &Describe,
    archive: &Archive,
    at: &Surroundings<'_>,
) -> Result<Described, Refusal> {
    let ledger = archive.known()?;
    let chosen = chosen(request, &ledger);
    let sums = sums(request, archive, &chosen, at)?;
    let outcomes = archive.outcomes(&ledger)?;
    let judged: Vec<&Outcome> = chosen.iter().filter_map(|t| outcomes.get(&t.key)).collect();
    let usual = ["soil", "month"];
    let by: Vec<&str> = if request.by.is_empty() {
        usual.to_vec()
    } else {
        request.by.iter().map(String::as_str).collect()
    };
    let groups = groups(sums);
    Ok(Described {
        trials: chosen.len(),
        counts: groups.iter().map(|g| g.n).sum(),
        not_counted: chosen.iter().map(|t| t.uncounted).sum(),
        groups,
        settings: settings(&judged, &by),
        to_judge: chosen.len() - judged.len(),
    })
}

/// The trials that are asked about.
fn chosen<'l>(request: &Describe, ledger: &'l Ledger) -> Vec<&'l TrialEntry> {
    let month = request
        .month
        .and_then(|m| Date::new(2000, i8::try_from(m).ok()?, 1).ok());
    let month = month.map(|day| day.strftime("%B").to_string());
    let is = |trial: &TrialEntry, name: &str, wanted: Option<&String>| {
        wanted.is_none_or(|wanted| trial.moderators.get(name) == Some(wanted))
    };
    ledger
        .trials()
        .map(|(_, trial)| trial)
        .filter(|t| request.season.is_none_or(|s| t.key.season == s))
        .filter(|t| is(t, "month", month.as_ref()) && is(t, "soil", request.soil.as_ref()))
        .collect()
}

/// Sums of all rows of some trials, file by file.
fn sums(
    request: &Describe,
    archive: &Archive,
    chosen: &[&TrialEntry],
    at: &Surroundings<'_>,
) -> Result<SumsBy, Error> {
    let mut files: BTreeMap<&str, Vec<(&TrialEntry, Piece)>> = BTreeMap::new();
    for trial in chosen {
        for piece in &trial.pieces {
            files
                .entry(&piece.file)
                .or_default()
                .push((trial, piece.clone()));
        }
    }
    let files: Vec<_> = files.into_iter().collect();
    let mut all = SumsBy::default();
    let mut done = 0;
    // As many at once as there are threads, so that what is held is bounded.
    for some in files.chunks(rayon::current_num_threads() * 8) {
        let found: Result<Vec<SumsBy>, Error> = some
            .par_iter()
            .map(|(file, trials)| of_file(request, archive, file, trials))
            .collect();
        found?.iter().for_each(|sums| all.merge(sums));
        done += some.len();
        tell(at.progress, done, files.len())?;
    }
    Ok(all)
}

fn of_file(
    request: &Describe,
    archive: &Archive,
    file: &str,
    trials: &[(&TrialEntry, Piece)],
) -> Result<SumsBy, Error> {
    let pieces: Vec<Piece> = trials.iter().map(|(_, piece)| piece.clone()).collect();
    let mut sums = SumsBy::default();
    archive.sums(file, &pieces, |at, treatment, some: &Sums| {
        let wanted = request.method.as_ref().is_none_or(|m| m == treatment);
        if let Some((trial, _)) = trials.get(at).filter(|_| wanted) {
            sums.add(&trial.key.club, treatment, some);
        }
    })?;
    Ok(sums)
}
