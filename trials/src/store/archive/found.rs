//! Sources by the names that were given: trial folders, tables, and folders of these.

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};

use super::Archive;
use crate::Error;
use crate::ranges::tables::FILE_SIZE;
use crate::store::folder::TRIAL;
use crate::store::read::{bytes, unreadable};
use crate::store::sources::Texts;

/// Endings of the files of a trial folder that may bear on its answer.
const OF_TRIAL: [&str; 5] = ["toml", "csv", "xlsx", "geojson", "gpx"];
/// Endings of tables.
const TABLES: [&str; 3] = ["csv", "xlsx", "parquet"];
/// Folders within folders that are looked into.
const DEPTH: usize = 16;

/// The files of a trial folder, by name.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TrialFiles {
    /// The folder as it was named.
    pub folder: PathBuf,
    pub(super) files: BTreeMap<String, Vec<u8>>,
}

impl TrialFiles {
    /// The files as texts under the names that they had.
    #[must_use]
    pub fn texts(&self) -> Texts {
        let mut texts = Texts::default();
        for (name, content) in &self.files {
            texts.put(self.folder.join(name), content.clone());
        }
        texts
    }
}

impl Archive {
    /// Trial folders and tables among what was named, each once, in order; names that lead nowhere are tables that cannot be
    /// read. Tables in folders are looked for only where `tables` says so.
    #[must_use]
    pub fn found(&self, named: &[PathBuf], tables: bool) -> (Vec<PathBuf>, Vec<PathBuf>) {
        let (mut folders, mut files) = (BTreeSet::new(), BTreeSet::new());
        for path in named {
            if path.is_dir() {
                self.look(path, tables, DEPTH, &mut folders, &mut files);
            } else {
                files.insert(path.clone());
            }
        }
        (folders.into_iter().collect(), files.into_iter().collect())
    }

    fn look(
        &self,
        folder: &Path,
        tables: bool,
        depth: usize,
        folders: &mut BTreeSet<PathBuf>,
        files: &mut BTreeSet<PathBuf>,
    ) {
        if folder.join(TRIAL).is_file() {
            folders.insert(folder.to_path_buf());
            return;
        }
        // An archive that lies among its sources is none of them.
        if depth == 0 || *folder == self.root {
            return;
        }
        for entry in folder.read_dir().into_iter().flatten().flatten() {
            let path = entry.path();
            if path.is_dir() {
                self.look(&path, tables, depth - 1, folders, files);
            } else if tables && ends(&path, &TABLES) {
                files.insert(path);
            }
        }
    }

    /// The files of a trial folder.
    ///
    /// # Errors
    /// A file that cannot be read, or is larger than any of a trial.
    pub fn trial_files(&self, folder: &Path) -> Result<TrialFiles, Error> {
        let mut files = BTreeMap::new();
        let entries = folder
            .read_dir()
            .map_err(|e| unreadable(&folder.display().to_string(), &e))?;
        for entry in entries.flatten() {
            let path = entry.path();
            let name = entry.file_name().to_str().map(str::to_owned);
            if let Some(name) = name.filter(|_| path.is_file() && ends(&path, &OF_TRIAL)) {
                files.insert(name, bytes(&path, &FILE_SIZE)?);
            }
        }
        Ok(TrialFiles {
            folder: folder.to_path_buf(),
            files,
        })
    }
}

fn ends(path: &Path, endings: &[&str]) -> bool {
    let ending = path
        .extension()
        .and_then(|e| e.to_str())
        .map(str::to_lowercase);
    ending.is_some_and(|e| endings.contains(&e.as_str()))
}
