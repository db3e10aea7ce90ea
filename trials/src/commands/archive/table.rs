//! A table of many trials, read twice: what is there and what is wrong with it, then the rows of what can be used.

use std::collections::BTreeMap;
use std::path::Path;

use super::super::Refusal;
use super::super::columns::named_once;
use super::Add;
use super::add::Read;
use super::passes::each_block;
use crate::Error;
use crate::association::archive::{
    AllFacts, Asked, Facts, Head, Ledger, LeftOutTrial, Piece, RowReader, Rows, SourceEntry,
    TrialEntry, TrialKey, decide,
};
use crate::store::{Archive, SourceText};

/// Rows that are gathered before they are written.
const PART: usize = 1 << 20;

/// How tables are read; `None` where no columns are named.
pub(super) fn asked(request: &Add) -> Result<Option<Asked>, Refusal> {
    let named = [
        ("count", request.count.as_deref()),
        ("treatment", request.treatment.as_deref()),
        ("trial", request.trial.as_deref()),
        ("club", request.club.as_deref()),
        ("season", request.season.as_deref()),
        ("date", request.date.as_deref()),
        ("occasion", request.occasion.as_deref()),
        ("block", request.block.as_deref()),
        ("plot", request.plot.as_deref()),
        ("area", request.area.as_deref()),
    ];
    named_once(&named)?;
    let missing = [
        ("count", request.count.is_none()),
        ("treatment", request.treatment.is_none()),
        ("control", request.control.is_none()),
    ];
    if missing.iter().all(|(_, missing)| *missing) {
        return Ok(None);
    }
    if let Some((field, _)) = missing.iter().find(|(_, missing)| *missing) {
        let what = "it is not given, and tables are read by count, treatment and control";
        return Err(Error::in_field(*field, what, "Give it.").into());
    }
    if request.season.is_none() && request.date.is_none() {
        let what = "neither a column of seasons nor one of dates is named, and the year tells trials apart";
        return Err(Error::in_field("season", what, "Name one of them.").into());
    }
    let (columns, terms) = (request.columns(), request.terms());
    Ok(columns
        .zip(terms)
        .map(|(columns, terms)| Asked { columns, terms }))
}

/// Reads a table and writes its rows; `None` where the archive has it as it is. A fault of the table is its own: it stops no other.
pub(super) fn read(
    path: &Path,
    asked: Option<&Asked>,
    replace: bool,
    archive: &Archive,
    ledger: &Ledger,
) -> Result<Option<Read>, Error> {
    let source = path.display().to_string();
    let unusable =
        |errors: &[Error]| Ok(Some(Read::unusable(source.clone(), String::new(), errors)));
    let passed_over = |error: &Error| Ok(Some(Read::passed_over(source.clone(), error)));
    let Some(asked) = asked else {
        let what = "this is a table, and its columns are not named";
        return passed_over(&Error::new(
            source.clone(),
            what,
            "Name them with --count, --treatment, --control and so on.",
        ));
    };
    let text = match archive.lines(path) {
        Ok(text) => text,
        Err(error) => return passed_over(&error),
    };
    let head = match head(&source, &text, asked) {
        Ok(head) => head,
        Err(errors) => return unusable(&errors),
    };
    drop(text);
    let reader = RowReader::new(&head, &asked.columns, &asked.terms);
    let (facts, sha256) = match survey(path, archive, &reader) {
        Ok(found) => found,
        Err(error) => return unusable(&[error]),
    };
    let known = ledger.source(&source);
    if known.is_some_and(|k| k.sha256 == sha256 && k.asked.as_ref() == Some(asked)) {
        return Ok(None);
    }
    if let Some(known) = known.filter(|k| !replace && !k.trials.is_empty()) {
        let what = "the table is not as it was when its trials were added, or is read otherwise; these stay as they are";
        return Ok(Some(Read::unchanged(known, what)));
    }
    let mut read = judged_by_facts(&source, &sha256, asked, &facts, &reader, ledger);
    let places = write(path, archive, &reader, &read, &facts, &sha256)?;
    for trial in &mut read.entry.trials {
        trial.pieces = places.get(&trial.key).cloned().unwrap_or_default();
    }
    Ok(Some(read))
}

fn head(source: &str, text: &SourceText, asked: &Asked) -> Result<Head, Vec<Error>> {
    let first = text.head().map_err(|e| vec![e])?;
    let head = Head::of(source, &first, &asked.columns);
    head.map_err(|problems| problems.into_iter().map(Error::from).collect())
}

/// What there is of each trial, and the digest of the file.
fn survey(
    path: &Path,
    archive: &Archive,
    reader: &RowReader<'_>,
) -> Result<(AllFacts, String), Error> {
    let mut text = archive.source(path)?;
    let mut all = AllFacts::default();
    each_block(
        &mut text,
        |block| reader.block(&block.text, block.first_line).1,
        |facts| {
            all.merge(facts);
            Ok(())
        },
    )?;
    Ok((all, text.sha256()))
}

/// Which trials are taken in, and why not the others.
fn judged_by_facts(
    source: &str,
    sha256: &str,
    asked: &Asked,
    facts: &AllFacts,
    reader: &RowReader<'_>,
    ledger: &Ledger,
) -> Read {
    let mut read = Read::of(SourceEntry {
        source: source.to_owned(),
        sha256: sha256.to_owned(),
        asked: Some(asked.clone()),
        trials: Vec::new(),
        left_out: Vec::new(),
    });
    if let Some(first) = &facts.lost.first {
        read.entry.left_out.push(LeftOutTrial {
            place: format!("{source}:{}:{}", first.line, first.column),
            reason: format!(
                "{}: nobody can tell of which trial the line is, and {} such are left out. {}",
                first.what, facts.lost.lines, first.cure
            ),
            trial: None,
        });
    }
    for (key, facts) in &facts.trials {
        let verdict = decide(key, facts, reader, &asked.terms, ledger, source);
        read.trial(verdict, entry_of(key, facts, reader));
    }
    read
}

fn entry_of(key: &TrialKey, facts: &Facts, reader: &RowReader<'_>) -> TrialEntry {
    let mut moderators = facts.moderators.clone();
    let only = facts.occasions.len() == 1;
    let main = facts
        .days
        .iter()
        .filter(|(o, _)| reader.role(o, only) == crate::association::archive::Role::Main);
    if let Some(day) = main.map(|(_, day)| *day).min() {
        moderators
            .entry("month".to_owned())
            .or_insert_with(|| day.strftime("%B").to_string());
    }
    TrialEntry {
        key: key.clone(),
        rows: facts.counted,
        uncounted: facts.uncounted,
        digest: facts.digest(),
        pieces: Vec::new(),
        kept: None,
        kept_sha256: None,
        moderators,
    }
}

/// Writes the rows of the trials that are taken in; says where they lie.
fn write(
    path: &Path,
    archive: &Archive,
    reader: &RowReader<'_>,
    read: &Read,
    facts: &AllFacts,
    sha256: &str,
) -> Result<BTreeMap<TrialKey, Vec<Piece>>, Error> {
    let wanted: BTreeMap<&TrialKey, bool> = read
        .entry
        .trials
        .iter()
        .map(|t| {
            (
                &t.key,
                facts
                    .trials
                    .get(&t.key)
                    .is_some_and(|f| f.occasions.len() == 1),
            )
        })
        .collect();
    let mut places: BTreeMap<TrialKey, Vec<Piece>> = BTreeMap::new();
    let (mut rows, mut part) = (Rows::default(), 0);
    let mut flush = |rows: &mut Rows| -> Result<(), Error> {
        let ready = std::mem::take(rows);
        for (key, piece) in archive.write_rows(sha256, part, &ready)? {
            places.entry(key).or_default().push(piece);
        }
        part += 1;
        Ok(())
    };
    let mut text = archive.source(path)?;
    each_block(
        &mut text,
        |block| reader.block(&block.text, block.first_line).0,
        |block: Rows| {
            let role = |key: &TrialKey, occasion: &str| {
                reader.role(occasion, wanted.get(key).copied().unwrap_or_default())
            };
            rows.take(&block, |key| wanted.contains_key(key), role);
            if rows.len() >= PART {
                flush(&mut rows)
            } else {
                Ok(())
            }
        },
    )?;
    if !rows.is_empty() {
        flush(&mut rows)?;
    }
    if text.sha256() == sha256 {
        return Ok(places);
    }
    let what = "the table was changed while it was read";
    Err(Error::new(
        path.display().to_string(),
        what,
        "Add it again once nobody writes it.",
    ))
}
