//! The disk as a source of texts, which remembers what a command saw: nothing that was read is overwritten, and nothing
//! is written that rests on what is no longer so.

use std::cell::RefCell;
use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};

use super::NewFile;
use super::Replace;
#[cfg(feature = "archive")]
use super::archive::Archive;
use super::parts::{digest_of, is_vacant, settle};
use super::read;
use super::sources::{Entry, Sources};
use super::write::{Outcome, is_there, write_if};
use crate::Error;
use crate::design::sha256;
use crate::ranges::Range;

/// The disk, as one command meets it; names start from the folder that the user is in.
#[derive(Debug, Default)]
pub struct Disk {
    seen: RefCell<Vec<(PathBuf, Seen)>>,
    /// Folders in which nothing is left of a run that was killed.
    settled: RefCell<BTreeSet<PathBuf>>,
    /// Files of such a run that were put in place.
    finished: RefCell<Vec<PathBuf>>,
    /// What can be read only once, such as a pipe.
    streams: RefCell<BTreeMap<PathBuf, Vec<u8>>>,
}

/// What a command saw under a name.
#[derive(Debug, Clone, PartialEq, Eq)]
enum Seen {
    Entry(Entry),
    /// A file with this digest.
    Text(String),
}

impl Disk {
    /// Writes what a command gave back, all files or none; nothing if something that the command saw has changed since.
    ///
    /// # Errors
    /// As [`write_all`](super::write_all); a target that the command read, under whichever name, unless it is kept beside.
    pub fn write(&self, files: &[NewFile]) -> Result<Outcome, Error> {
        let real = |path: &Path| path.canonicalize().ok();
        let seen = self.seen.borrow();
        let read = seen
            .iter()
            .filter(|(_, what)| matches!(what, Seen::Text(_)));
        let inputs: Vec<_> = read.filter_map(|(path, _)| real(path)).collect();
        let own = files.iter().filter(|f| f.replace == Replace::Own);
        for file in own {
            if real(&file.path()).is_some_and(|p| inputs.contains(&p)) {
                return Err(Error::new(
                    file.path().display().to_string(),
                    "this is a file that the command reads, and it would be overwritten",
                    "Give another name or folder for what is to be written.",
                ));
            }
        }
        write_if(files, &|| self.is_as_seen())
    }

    /// Whether all that a command saw is still so.
    fn is_as_seen(&self) -> bool {
        self.seen.borrow().iter().all(|(path, what)| match what {
            Seen::Entry(entry) => alike(*entry, found(path)),
            Seen::Text(digest) => digest_of(path).as_ref() == Some(digest),
        })
    }

    /// Whether something that a command saw has changed since, so that what it said may mix old and new. A run that
    /// is writing is waited for.
    #[must_use]
    pub fn has_changed(&self) -> bool {
        for folder in self.settled.borrow().iter() {
            self.finished.borrow_mut().extend(settle(folder));
        }
        !self.is_as_seen()
    }

    /// Forgets what was seen, for a command that is run again.
    pub fn look_again(&self) {
        self.seen.borrow_mut().clear();
        self.settled.borrow_mut().clear();
    }

    /// Puts right what a killed run left beside a name and, if it is a folder, in it.
    fn settle_round(&self, name: &Path) {
        let folders = [name.parent(), Some(name).filter(|n| n.is_dir())];
        for folder in folders.into_iter().flatten() {
            if self.settled.borrow_mut().insert(folder.to_path_buf()) {
                self.finished.borrow_mut().extend(settle(folder));
            }
        }
    }

    /// Files that a run had decided to write before it was cut short, and that were put in place for this command.
    #[must_use]
    pub fn finished(&self) -> Vec<PathBuf> {
        self.finished.borrow().clone()
    }
}

/// What a name leads to now. A text on its way to its place counts as nothing.
fn found(name: &Path) -> Entry {
    if name.is_dir() {
        return if is_vacant(name) {
            Entry::EmptyFolder
        } else {
            Entry::Folder
        };
    }
    if is_there(name) {
        Entry::File
    } else {
        Entry::Nothing
    }
}

/// A folder that was made to write into does not differ from none.
fn alike(a: Entry, b: Entry) -> bool {
    let vacant = |entry| matches!(entry, Entry::Nothing | Entry::EmptyFolder);
    a == b || (vacant(a) && vacant(b))
}

impl Sources for Disk {
    fn entry(&self, name: &Path) -> Entry {
        self.settle_round(name);
        let entry = found(name);
        let seen = (name.to_path_buf(), Seen::Entry(entry));
        self.seen.borrow_mut().push(seen);
        entry
    }

    fn beside(&self, name: &Path) -> Option<Vec<String>> {
        read::names_beside(name)
    }

    #[cfg(feature = "archive")]
    fn archive(&self, folder: &Path) -> Result<Archive, Error> {
        Ok(Archive::at(folder))
    }

    fn bytes_within(&self, name: &Path, size: &Range) -> Result<Vec<u8>, Error> {
        if let Some(bytes) = self.streams.borrow().get(name) {
            return Ok(bytes.clone());
        }
        self.settle_round(name);
        let bytes = read::bytes(name, size)?;
        if name.is_file() {
            let seen = (name.to_path_buf(), Seen::Text(sha256(&bytes)));
            self.seen.borrow_mut().push(seen);
        } else {
            let mut streams = self.streams.borrow_mut();
            streams.insert(name.to_path_buf(), bytes.clone());
        }
        Ok(bytes)
    }
}
