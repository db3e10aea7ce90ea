//! The ledger on the disk, and files that it does not know.

use std::collections::BTreeSet;
use std::path::Path;

use super::list::{Growing, each};
use super::{Archive, partition};
use crate::Error;
use crate::association::archive::{Ledger, SourceEntry};
use crate::store::archived::LEDGER;

impl Archive {
    /// What was taken in so far; nothing of an archive that is new.
    ///
    /// # Errors
    /// A ledger that cannot be read or is none.
    pub fn ledger(&self) -> Result<Ledger, Error> {
        let mut ledger = Ledger::default();
        each(&self.path(LEDGER), |entry: SourceEntry| {
            ledger.take(entry);
            Ok(())
        })?;
        Ok(ledger)
    }

    /// The ledger of an archive that must be there.
    ///
    /// # Errors
    /// As [`ledger`](Self::ledger), and a folder that holds no archive.
    pub fn known(&self) -> Result<Ledger, Error> {
        if self.path(LEDGER).is_file() {
            return self.ledger();
        }
        Err(Error::new(
            self.shown(),
            "there is no archive in this folder",
            format!("Make one: halfgreen archive add {} TRIALS", self.shown()),
        ))
    }

    /// Whether this names a table and no folder.
    #[must_use]
    pub fn is_table(&self) -> bool {
        self.root.is_file()
    }

    /// Adds sources: from here on they are in the archive.
    ///
    /// # Errors
    /// A disk that is full.
    pub fn enter(&self, entries: &[SourceEntry]) -> Result<(), Error> {
        let mut list = Growing::open(&self.path(LEDGER))?;
        list.add(entries)?;
        list.synchronise()
    }

    /// Clears away files of the archive's own names that the ledger does not know: what a killed run left, or what a later
    /// version of a source has replaced. Gives how many there were.
    ///
    /// # Errors
    /// A file that cannot be removed.
    pub fn sweep(&self, ledger: &Ledger) -> Result<usize, Error> {
        let trials = ledger.trials().map(|(_, trial)| trial);
        let known = trials.flat_map(|t| t.pieces.iter().map(|p| &p.file).chain(&t.kept));
        let known: BTreeSet<&str> = known.map(String::as_str).collect();
        let mut swept = 0;
        for top in [partition::COUNTS, partition::TRIALS] {
            for season in folders(&self.path(top)) {
                for club in folders(&season) {
                    for file in club.read_dir().into_iter().flatten().flatten() {
                        let path = file.path();
                        let Some(name) = self.named(&path) else {
                            continue;
                        };
                        if partition::is_ours(&name) && !known.contains(name.as_str()) {
                            std::fs::remove_file(&path)
                                .map_err(|e| super::unwritable(&path, &e))?;
                            swept += 1;
                        }
                    }
                }
            }
        }
        Ok(swept)
    }

    /// Path of a file in the archive, with `/` between its parts.
    fn named(&self, path: &Path) -> Option<String> {
        let inside = path.strip_prefix(&self.root).ok()?;
        let parts: Option<Vec<&str>> = inside.iter().map(|p| p.to_str()).collect();
        Some(parts?.join("/"))
    }
}

/// Folders in a folder, in order.
fn folders(folder: &Path) -> Vec<std::path::PathBuf> {
    let entries = folder.read_dir().into_iter().flatten().flatten();
    let mut found: Vec<_> = entries.map(|e| e.path()).filter(|p| p.is_dir()).collect();
    found.sort();
    found
}
