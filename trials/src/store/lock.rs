//! One writer in a folder at a time.

use std::collections::BTreeSet;
#[expect(
    clippy::disallowed_types,
    reason = "a lock is held through an opened file"
)]
use std::fs::{File, TryLockError};
use std::io::Result as Opened;
use std::path::{Path, PathBuf};
use std::time::Duration;

use super::parts::opened;
use crate::Error;

/// A folder held for one run: others wait for it. It is let go when this is dropped, and by the system when the
/// program is killed.
#[derive(Debug)]
pub(super) struct Lock {
    #[expect(
        clippy::disallowed_types,
        reason = "a lock is held through an opened file"
    )]
    held: Option<File>,
}

/// Name of the file that is locked where a folder cannot be.
pub(super) const LOCK: &str = "halfgreen.lock";

/// How long another run is waited for, in naps: half a minute. A folder is held while files are put into it, which takes
/// seconds on the slowest of disks.
const NAPS: usize = 6000;
const NAP: Duration = Duration::from_millis(5);

impl Lock {
    /// Waits until no other run holds the folder, and holds it. Not every file system can: there the folder is not
    /// held, and [`is_held`](Self::is_held) says so.
    ///
    /// # Errors
    /// A folder that another program does not let go.
    fn of(folder: &Path) -> Result<Self, Error> {
        let Ok(file) = lockable(folder) else {
            return Ok(Self { held: None });
        };
        for _ in 0..NAPS {
            match file.try_lock() {
                Ok(()) => return Ok(Self { held: Some(file) }),
                Err(TryLockError::WouldBlock) => std::thread::sleep(NAP),
                Err(TryLockError::Error(_)) => return Ok(Self { held: None }),
            }
        }
        Err(Error::new(
            folder.display().to_string(),
            "another program holds this folder and does not let it go",
            "Look for a run of halfgreen that was stopped half way, end it, and try again.",
        ))
    }

    /// Holds folders, each once and in the order of their real names, so that no two runs wait for each other.
    ///
    /// # Errors
    /// As [`of`](Self::of).
    pub(super) fn of_all(folders: &BTreeSet<PathBuf>) -> Result<Vec<Self>, Error> {
        let real = folders.iter().map(|f| opened(f).canonicalize());
        let real: BTreeSet<PathBuf> = real.flatten().collect();
        real.iter().map(|folder| Self::of(folder)).collect()
    }

    pub(super) fn is_held(&self) -> bool {
        self.held.is_some()
    }
}

/// Where a folder can be opened like a file, it is locked itself, and nothing is left behind.
#[cfg(unix)]
#[expect(
    clippy::disallowed_types,
    reason = "a lock is held through an opened file"
)]
fn lockable(folder: &Path) -> Opened<File> {
    File::open(folder)
}

/// Elsewhere an empty file in it is locked, which stays: taking it away would let two runs hold two of them.
#[cfg(not(unix))]
#[expect(
    clippy::disallowed_types,
    reason = "a lock is held through an opened file"
)]
fn lockable(folder: &Path) -> Opened<File> {
    let mut asked = File::options();
    asked.create(true).truncate(false).write(true);
    asked.open(folder.join(LOCK))
}
