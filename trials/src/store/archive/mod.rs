//! An archive of many trials on the disk: a folder that grows while a command works.
//!
//! | in the folder | what it is |
//! |---|---|
//! | `ledger.jsonl` | a line for each source that was read; a source is in the archive once its line is whole |
//! | `counts/season=Y/club=C/*.parquet` | rows of a source, trial by trial: the layout that other engines know as Hive's |
//! | `trials/season=Y/club=C/*.zip` | protocol, layout, seal and counts of a trial folder as they were |
//! | `judged/shard-*.jsonl` | what came of each trial, a line as it is done |
//! | `effects/effects.csv`, `effects/effects.parquet`, `effects/left-out.csv` | the answers of all trials together |
//!
//! A file is written under another name, synchronised and renamed, or it is a list of lines of which a last one without its end
//! counts for nothing. So a run that is killed leaves what was done, and the next goes on from there. Files of the archive's own
//! names that no line of the ledger knows are what a killed run left, and are cleared away by the next that adds.

mod blocks;
mod effects;
mod found;
mod journal;
mod kept;
mod ledger;
mod list;
mod parquet;
mod partition;

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

use super::lock::Lock;
use super::parts::{discard, fill, put, synchronise};
use crate::Error;
use crate::design::sha256;

pub use blocks::{SourceText, TextBlock, Undigested};
pub use found::TrialFiles;
pub use journal::Journal;

/// An archive by its folder. It may be used from several threads.
#[derive(Debug, Clone)]
pub struct Archive {
    root: PathBuf,
}

/// An archive that no other run adds to while this is kept.
#[derive(Debug)]
pub struct Held {
    _locks: Vec<Lock>,
}

impl Archive {
    pub(super) fn at(root: &Path) -> Self {
        Self {
            root: root.to_path_buf(),
        }
    }

    /// The folder as the user would type it.
    #[must_use]
    pub fn shown(&self) -> String {
        self.root.display().to_string()
    }

    /// Waits until no other run adds to the archive, and keeps others out. The folder is made if it is not there.
    ///
    /// # Errors
    /// A folder that cannot be made, or that another program does not let go.
    pub fn hold(&self) -> Result<Held, Error> {
        std::fs::create_dir_all(&self.root).map_err(|e| unwritable(&self.root, &e))?;
        let folder = BTreeSet::from([self.root.clone()]);
        Ok(Held {
            _locks: Lock::of_all(&folder)?,
        })
    }

    fn path(&self, name: &str) -> PathBuf {
        self.root.join(name)
    }

    /// Puts a file in place: as a whole or not at all. One that holds the same already is left alone.
    fn place(&self, name: &str, content: &[u8]) -> Result<(), Error> {
        let target = self.path(name);
        let failed = |e: std::io::Error| unwritable(&target, &e);
        let folder = target.parent().unwrap_or(&self.root);
        std::fs::create_dir_all(folder).map_err(failed)?;
        let digest = sha256(format!("{name}\0{}", sha256(content)));
        let part = folder.join(format!(".halfgreen-{}.part", &digest[..16]));
        // One that a killed run left.
        discard(&part);
        fill(&part, content, &target)
            .and_then(|()| put(&part, &target))
            .map_err(|e| {
                discard(&part);
                unwritable(&target, &e)
            })?;
        synchronise(folder);
        Ok(())
    }
}

fn unwritable(path: &Path, e: &std::io::Error) -> Error {
    Error::new(
        path.display().to_string(),
        format!("cannot be written ({e})"),
        "Check that the folder exists, that you may write there and that the disk is not full; what was done so far is kept.",
    )
}
