//! What came of each trial, a line as soon as it is done: a run that is killed is taken up where it was.

use std::collections::BTreeMap;
use std::path::PathBuf;
use std::sync::{Mutex, PoisonError};

use super::Archive;
use super::list::{Growing, each};
use crate::Error;
use crate::association::archive::{Ledger, Outcome, Shard, TrialKey};

/// Folder of the lists.
const JUDGED: &str = "judged";

/// The list of a part of the trials, to which threads add.
#[derive(Debug)]
pub struct Journal {
    list: Mutex<Growing>,
}

impl Journal {
    /// Adds what came of a trial. It survives the end of the program from here on.
    ///
    /// # Errors
    /// A disk that is full.
    pub fn add(&self, outcome: &Outcome) -> Result<(), Error> {
        let mut list = self.list.lock().unwrap_or_else(PoisonError::into_inner);
        list.add(std::slice::from_ref(outcome))
    }

    /// Sees all onto the disk, so that it survives the loss of power as well.
    ///
    /// # Errors
    /// A disk that is full.
    pub fn close(self) -> Result<(), Error> {
        let list = self
            .list
            .into_inner()
            .unwrap_or_else(PoisonError::into_inner);
        list.synchronise()
    }
}

impl Archive {
    /// Opens the list of a part of the trials.
    ///
    /// # Errors
    /// Another run at work on this part, a disk that is full.
    pub fn journal(&self, shard: &Shard) -> Result<Journal, Error> {
        let path = self.path(JUDGED).join(shard.file());
        let list = Growing::open(&path)?;
        if !list.keep_out_others() {
            return Err(Error::new(
                path.display().to_string(),
                "another run is at work on this part of the trials",
                "Wait until it is done, or end it: what it has done is kept.",
            ));
        }
        Ok(Journal {
            list: Mutex::new(list),
        })
    }

    /// What is known of the trials, from whichever part, where it still holds: an answer that rests on rows or questions of
    /// before is none.
    ///
    /// # Errors
    /// A list that cannot be read.
    pub fn outcomes(&self, ledger: &Ledger) -> Result<BTreeMap<TrialKey, Outcome>, Error> {
        let mut known = BTreeMap::new();
        for path in self.journals() {
            each(&path, |outcome: Outcome| {
                let trial = ledger.trial(&outcome.key);
                let state = trial.map(|(source, trial)| trial.state(source.asked.as_ref()));
                if state.as_ref() == Some(&outcome.state) {
                    known.insert(outcome.key.clone(), outcome);
                }
                Ok(())
            })?;
        }
        Ok(known)
    }

    fn journals(&self) -> Vec<PathBuf> {
        let entries = self.path(JUDGED).read_dir().into_iter().flatten().flatten();
        let mut lists: Vec<PathBuf> = entries
            .map(|e| e.path())
            .filter(|p| p.extension().is_some_and(|e| e == "jsonl"))
            .collect();
        lists.sort();
        lists
    }
}
