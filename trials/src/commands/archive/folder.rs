//! Trial folders into an archive: their rows for everybody, and the folder as it was for their own judgement.

use std::collections::BTreeMap;
use std::path::Path;

use super::super::{Refusal, trial};
use super::add::Read;
use crate::Error;
use crate::association::TrialFacts;
use crate::association::archive::{
    Facts, Ledger, Role, Row, Rows, SourceEntry, Told, TrialEntry, TrialKey, Verdict,
};
use crate::design::{Plot, Role as Planned, sha256};
use crate::store::{Archive, TrialFolder};

/// A trial folder that was read, before it is decided what becomes of it.
#[derive(Debug)]
pub(super) struct ReadFolder {
    source: String,
    sha256: String,
    packed: Vec<u8>,
    /// Its rows; absent where the archive has the folder as it is.
    found: Option<Result<Found, Vec<Error>>>,
}

#[derive(Debug)]
struct Found {
    entry: TrialEntry,
    rows: Rows,
}

/// What becomes of a trial folder.
#[derive(Debug)]
pub(super) struct Decided {
    read: Read,
    keeps: Option<(TrialKey, Rows, Vec<u8>)>,
}

/// Reads a trial folder and checks it as `judge` does.
pub(super) fn read(path: &Path, archive: &Archive, ledger: &Ledger) -> ReadFolder {
    let source = path.display().to_string();
    let mut found = ReadFolder {
        source: source.clone(),
        sha256: String::new(),
        packed: Vec::new(),
        found: None,
    };
    let packed = archive
        .trial_files(path)
        .and_then(|files| Ok((files.packed()?, files)));
    let files = match packed {
        Ok((packed, files)) => {
            found.sha256 = sha256(&packed);
            found.packed = packed;
            files
        }
        Err(error) => {
            found.found = Some(Err(vec![error]));
            return found;
        }
    };
    if ledger
        .source(&source)
        .is_some_and(|known| known.sha256 == found.sha256)
    {
        return found;
    }
    let texts = files.texts();
    let rows = TrialFolder::open(&texts, path)
        .map_err(Refusal::from)
        .and_then(|folder| rows_of(&folder, path, &found.sha256));
    found.found = Some(rows.map_err(|refusal| refusal.errors));
    found
}

fn rows_of(folder: &TrialFolder<'_>, path: &Path, sha256: &str) -> Result<Found, Refusal> {
    let trial = trial::trial(folder, None)?;
    let facts = trial::facts(folder, &trial);
    let key = key_of(&facts, path)?;
    let mut rows = Rows::default();
    let number = rows.trial(&key);
    let counts = folder.shown(folder.counts_name());
    let role = |name: &str| match trial.protocol.occasions.iter().find(|o| o.name == name) {
        Some(o) if o.role == Planned::Main => Role::Main,
        Some(o) if o.role == Planned::Before => Role::Before,
        _ => Role::Other,
    };
    // A plot of a crossover stands in the layout once for each night, in their order; all other plots stand there once.
    let mut turns: BTreeMap<&str, Vec<&Plot>> = BTreeMap::new();
    for plot in &trial.layout.plots {
        turns.entry(&plot.plot).or_default().push(plot);
    }
    let occasions = trial.protocol.occasions.iter();
    let nights: Vec<&str> = occasions
        .filter(|o| o.role == Planned::Main)
        .map(|o| o.name.as_str())
        .collect();
    for o in trial.counts.observations() {
        let night = nights.iter().position(|n| *n == o.occasion).unwrap_or(0);
        let turns = turns.get(o.plot.as_str());
        let Some(plot) = turns.and_then(|t| t.get(night).or(t.first())) else {
            continue;
        };
        let row = Row {
            occasion: &o.occasion,
            role: role(&o.occasion),
            treatment: &plot.treatment,
            block: plot.block.as_deref().unwrap_or_default(),
            plot: &o.plot,
            count: u32::try_from(o.count).unwrap_or(u32::MAX),
            area_m2: o.area_m2,
            source: &counts,
            line: o.line,
        };
        rows.push(number, &row);
    }
    let all = Facts::of_rows(&rows);
    let entry = TrialEntry {
        key,
        rows: all.counted,
        uncounted: 0,
        digest: all.digest(),
        pieces: Vec::new(),
        kept: None,
        kept_sha256: Some(sha256.to_owned()),
        moderators: facts.moderators,
    };
    Ok(Found { entry, rows })
}

/// What names the trial of a folder: club and season by its protocol; a club that is not named is the folder above.
fn key_of(facts: &TrialFacts, path: &Path) -> Result<TrialKey, Error> {
    let above = path
        .parent()
        .and_then(Path::file_name)
        .and_then(|n| n.to_str());
    let club = facts.club.as_deref().or(above).unwrap_or(&facts.trial);
    let season = facts.season.ok_or_else(|| {
        let what =
            "nothing tells the year of the trial: neither the main occasion nor [trial] has a date";
        Error::new(
            path.join("trial.toml").display().to_string(),
            what,
            "Write the date of the main occasion.",
        )
    })?;
    Ok(TrialKey {
        season,
        club: club.to_owned(),
        trial: facts.trial.clone(),
    })
}

/// Decides what becomes of a folder, beside the archive and the folders that were decided before; `None` where the archive has it
/// as it is.
pub(super) fn decided(
    folder: ReadFolder,
    replace: bool,
    ledger: &Ledger,
    before: &[Decided],
) -> Option<Decided> {
    let ReadFolder {
        source,
        sha256,
        packed,
        found,
    } = folder;
    let found = match found? {
        Ok(found) => found,
        Err(errors) => {
            return Some(Decided {
                read: Read::unusable(source, sha256, &errors),
                keeps: None,
            });
        }
    };
    if let Some(known) = ledger
        .source(&source)
        .filter(|k| !replace && !k.trials.is_empty())
    {
        return Some(Decided {
            read: Read::unchanged(
                known,
                "the folder is not as it was when its trial was added, which stays as it is",
            ),
            keeps: None,
        });
    }
    let key = found.entry.key.clone();
    let verdict = beside(&key, &found.entry, &sha256, &source, ledger, before);
    let new = verdict == Verdict::New;
    let mut read = Read::of(SourceEntry {
        source,
        sha256,
        asked: None,
        trials: Vec::new(),
        left_out: Vec::new(),
    });
    read.trial(verdict, found.entry);
    Some(Decided {
        read,
        keeps: new.then_some((key, found.rows, packed)),
    })
}

fn beside(
    key: &TrialKey,
    entry: &TrialEntry,
    sha256: &str,
    source: &str,
    ledger: &Ledger,
    before: &[Decided],
) -> Verdict {
    let mut trials = before
        .iter()
        .flat_map(|d| d.read.entry.trials.iter().map(move |t| (d, t)));
    let Some((first, known)) = trials.find(|(_, trial)| trial.key == *key) else {
        return ledger.beside(key, &entry.digest, sha256, source);
    };
    let told = Told {
        trial: key.clone(),
        source: source.to_owned(),
        first: first.read.entry.source.clone(),
    };
    if known.digest == entry.digest {
        Verdict::Twice(told)
    } else {
        Verdict::Contradicted(told)
    }
}

/// Puts the rows and the files of a folder into the archive.
pub(super) fn keep(decided: Decided, archive: &Archive) -> Result<Read, Error> {
    let Decided { mut read, keeps } = decided;
    let Some((key, rows, packed)) = keeps else {
        return Ok(read);
    };
    let pieces = archive.write_rows(&read.entry.sha256, 0, &rows)?;
    let kept = archive.keep(&key, &packed)?;
    for trial in &mut read.entry.trials {
        trial.pieces = pieces.iter().map(|(_, piece)| piece.clone()).collect();
        trial.kept = Some(kept.clone());
    }
    Ok(read)
}
