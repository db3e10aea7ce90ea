//! Texts into files: all of them or none, each whole or not at all.

use std::collections::{BTreeMap, BTreeSet};
use std::io::ErrorKind;
use std::path::{Path, PathBuf};

use super::folder::COUNTS;
use super::lock::{LOCK, Lock};
use super::parts::{digest_of, discard, fill, folders_of, part_name, put, settle, synchronise};
use super::record::{Record, WRITTEN};
use super::{NewFile, Replace};
use crate::Error;
use crate::design::sha256;

/// Longest name of a file that every usual file system takes, bytes.
const LONGEST_NAME: usize = 255;

/// What became of the files.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Outcome {
    /// They are in place.
    Written,
    /// Nothing was written: what the command read is no longer so, and it must be run again.
    Changed,
}

/// A text on its way: the part that holds it, and where it goes.
#[derive(Debug)]
struct Waiting {
    part: PathBuf,
    target: PathBuf,
}

/// Writes all files, making folders as needed.
///
/// One run at a time writes into a folder. Every text is first written and synchronised under a temporary name; when all have
/// arrived, the list of what is written in the folder is renamed into place, and with that it is decided: the texts are
/// renamed in the order given, and what a killed run did not get to is done by the next. A fault before that leaves
/// nothing behind.
///
/// # Errors
/// A target that exists and may not be replaced, is not as the same command wrote it, is protected or no file; any `counts.csv`
/// that exists whatever `replace` says, two texts for one target, a folder that cannot be made, a disk that is full or read-only.
pub fn write_all(files: &[NewFile]) -> Result<(), Error> {
    write_if(files, &|| true).map(|_| ())
}

/// The same, if all is still as it was seen once nobody else can write.
pub(super) fn write_if(files: &[NewFile], as_seen: &dyn Fn() -> bool) -> Result<Outcome, Error> {
    no_two_alike(files)?;
    let roots: BTreeSet<&Path> = files.iter().map(|f| f.folder.as_path()).collect();
    let mut made = Vec::new();
    let folders = roots.iter().try_for_each(|root| make(root, &mut made));
    let written = folders.and_then(|()| {
        for root in &roots {
            settle(root);
        }
        let all = roots.iter().flat_map(|root| {
            let inside = files.iter().filter(|f| f.folder == **root);
            folders_of(root, inside.map(|f| f.name.as_path()))
        });
        let all: BTreeSet<PathBuf> = all.collect();
        let _held = Lock::of_all(&all)?;
        if as_seen() {
            place(files, &all).map(|()| Outcome::Written)
        } else {
            Ok(Outcome::Changed)
        }
    });
    if !matches!(written, Ok(Outcome::Written)) {
        for folder in made.iter().rev() {
            std::fs::remove_file(folder.join(LOCK)).unwrap_or_default();
            // One that somebody put something into in the meantime stays.
            std::fs::remove_dir(folder).unwrap_or_default();
        }
    }
    written
}

/// Makes a folder and those above it that are missing, and notes which.
fn make(folder: &Path, made: &mut Vec<PathBuf>) -> Result<(), Error> {
    let above = folder.ancestors().filter(|f| !f.as_os_str().is_empty());
    let mut missing = Vec::new();
    for folder in above {
        match looked_at(folder) {
            Ok(true) => break,
            Ok(false) => missing.push(folder),
            Err(e) => return Err(unwritable(folder, &e)),
        }
    }
    for folder in missing.into_iter().rev() {
        match std::fs::create_dir(folder) {
            Ok(()) => made.push(folder.to_path_buf()),
            // Another run was quicker.
            Err(e) if e.kind() == ErrorKind::AlreadyExists => {}
            Err(e) => return Err(unwritable(folder, &e)),
        }
    }
    Ok(())
}

/// Puts the files into folders that are held.
fn place(files: &[NewFile], folders: &BTreeSet<PathBuf>) -> Result<(), Error> {
    let mut records: BTreeMap<&Path, Record> = BTreeMap::new();
    for file in files {
        let record = match records.entry(&file.folder) {
            std::collections::btree_map::Entry::Occupied(known) => known.into_mut(),
            std::collections::btree_map::Entry::Vacant(new) => {
                new.insert(Record::of(&file.folder)?)
            }
        };
        let replaced = may_write(file, record)?;
        record.enter(file, replaced);
    }
    let lists = records
        .iter()
        .map(|(folder, record)| record.as_file(folder));
    let lists = lists.collect::<Result<Vec<_>, Error>>()?;
    let mut waiting = Vec::with_capacity(lists.len() + files.len());
    for file in lists.iter().chain(files) {
        let new = waits(file);
        // One may be left where a file system knows no locks, so that nothing clears it away.
        discard(&new.part);
        let filled = fill(&new.part, &file.content, &new.target);
        waiting.push(new);
        if let Err(e) = filled {
            for left in &waiting {
                discard(&left.part);
            }
            return Err(unwritable(&file.path(), &e));
        }
    }
    for folder in folders {
        synchronise(folder);
    }
    for Waiting { part, target } in &waiting {
        put(part, target).map_err(|e| unfinished(target, &e))?;
    }
    for folder in folders {
        synchronise(folder);
    }
    Ok(())
}

/// Where the text of a file waits: beside its target, or in its folder where the target's own is not there yet.
fn waits(file: &NewFile) -> Waiting {
    let target = file.path();
    let name = part_name(&file.name, &sha256(&file.content));
    let beside = target.parent().filter(|folder| folder.is_dir());
    Waiting {
        part: beside.unwrap_or(&file.folder).join(name),
        target,
    }
}

/// Refuses two files for one name; not every disk tells capitals from small letters.
fn no_two_alike(files: &[NewFile]) -> Result<(), Error> {
    let mut names = BTreeSet::new();
    for file in files {
        let path = file.path();
        if !names.insert(path.to_string_lossy().to_lowercase()) {
            let what = "two files of one name, capitals aside, would be written here";
            let cure = "Rename what they are named after.";
            return Err(Error::new(path.display().to_string(), what, cure));
        }
    }
    Ok(())
}

/// Whether something bears this name: a link that leads nowhere (to a disk that is not connected) does, and so does what
/// may not be looked at.
pub(super) fn is_there(path: &Path) -> bool {
    looked_at(path).unwrap_or(true)
}

/// The same, or why the name may not be looked at, or cannot be one.
fn looked_at(path: &Path) -> std::io::Result<bool> {
    match path.symlink_metadata() {
        Ok(_) => Ok(true),
        Err(e) if matches!(e.kind(), ErrorKind::NotFound | ErrorKind::NotADirectory) => Ok(false),
        Err(e) => Err(e),
    }
}

/// Refuses a file that must not be written; gives the digest of what it replaces.
fn may_write(file: &NewFile, record: &Record) -> Result<Option<String>, Error> {
    let path = file.path();
    let refuse = |what: &str, cure: &str| Err(Error::new(path.display().to_string(), what, cure));
    let mut parts = file.name.components().map(|c| c.as_os_str().len());
    let last = file.name.file_name();
    if last.is_none_or(|n| n == WRITTEN) || parts.any(|bytes| bytes > LONGEST_NAME) {
        return refuse(
            "no file of a command can have this name",
            "Give another, of at most 255 bytes; shorten what the file is named after.",
        );
    }
    if !looked_at(&path).map_err(|e| unwritable(&path, &e))? {
        return nothing_in_the_way(&path).map(|()| None);
    }
    if last.is_some_and(|n| n == COUNTS) {
        return refuse(
            "a file of this name is there already",
            "Counts are never overwritten: move the file away yourself if it is not wanted.",
        );
    }
    if file.replace == Replace::Never {
        return refuse(
            "a file of this name is there already",
            "Choose another folder, or move the file away.",
        );
    }
    let elsewhere = "Give another name or folder, or move it away.";
    match path.metadata() {
        Err(_) => {
            let what = "a link is there that leads nowhere";
            return refuse(what, "Connect the disk it leads to, or remove it.");
        }
        Ok(found) if !found.is_file() => return refuse("what is there is no file", elsewhere),
        Ok(found) if found.permissions().readonly() => {
            return refuse("the file that is there is protected", elsewhere);
        }
        Ok(_) => {}
    }
    let found = digest_of(&path);
    let same = found == Some(sha256(&file.content));
    let owned = found.as_ref().is_some_and(|d| record.owns(file, d));
    if found.is_none() || (file.replace == Replace::Own && !same && !owned) {
        let what = format!(
            "the file that is there is not as `halfgreen {}` wrote it, and is not overwritten",
            file.by
        );
        return refuse(&what, elsewhere);
    }
    Ok(found)
}

/// Whether the folders of a file that is not there are there, or can be made.
fn nothing_in_the_way(path: &Path) -> Result<(), Error> {
    let above = path.ancestors().skip(1);
    match above
        .filter(|f| !f.as_os_str().is_empty())
        .find(|f| is_there(f))
    {
        Some(nearest) if !nearest.is_dir() => Err(Error::new(
            nearest.display().to_string(),
            "a folder is needed here, and this is none",
            "Give another folder, or move it away; connect the disk that a link leads to.",
        )),
        _ => Ok(()),
    }
}

fn unwritable(path: &Path, e: &std::io::Error) -> Error {
    Error::new(
        path.display().to_string(),
        format!("cannot be written ({e})"),
        "Check that the folder exists, that you may write there and that the disk is not full.",
    )
}

/// A fault after all was decided: the texts wait where they are.
fn unfinished(path: &Path, e: &std::io::Error) -> Error {
    Error::new(
        path.display().to_string(),
        format!("cannot be put in place yet ({e})"),
        "Close other programs that use it; the next command on this folder puts it in place.",
    )
}
