//! Named files that a command may read, wherever they lie: on the disk, or in a map that a page or a test fills.

use std::collections::BTreeMap;
use std::fmt::Debug;
use std::path::{Component, Path, PathBuf};

use crate::Error;
use crate::ranges::Range;
use crate::ranges::tables::{FILE_SIZE, SUMMED_SIZE};

use super::absent::{absent, meant};
#[cfg(feature = "archive")]
use super::archive::Archive;
use super::read::decoded;
use super::table_text::table_text;

/// What a name leads to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Entry {
    /// Nothing: the name is free.
    Nothing,
    /// A file.
    File,
    /// A folder with nothing in it.
    EmptyFolder,
    /// A folder that holds something.
    Folder,
}

/// Where a command's inputs lie.
pub trait Sources: Debug {
    /// What a name leads to.
    fn entry(&self, name: &Path) -> Entry;

    /// Names in the folder of a name; `None` where there is no such folder.
    fn beside(&self, name: &Path) -> Option<Vec<String>>;

    /// The name in its folder that a name which leads to nothing was most likely meant to be.
    fn meant(&self, name: &Path) -> Option<String> {
        meant(name, &self.beside(name)?)
    }

    /// Content of a file of at most this size, in megabytes.
    ///
    /// # Errors
    /// A file that is absent, cannot be opened, or is larger.
    fn bytes_within(&self, name: &Path, size: &Range) -> Result<Vec<u8>, Error>;

    /// Content of a file.
    ///
    /// # Errors
    /// As [`bytes_within`](Self::bytes_within).
    fn bytes(&self, name: &Path) -> Result<Vec<u8>, Error> {
        self.bytes_within(name, &FILE_SIZE)
    }

    /// A UTF-8 text; a byte-order mark is dropped.
    ///
    /// # Errors
    /// As [`bytes`](Self::bytes); bytes that are not UTF-8, with the line and the byte where they stand.
    fn text(&self, name: &Path) -> Result<String, Error> {
        decoded(&name.display().to_string(), self.bytes(name)?)
    }

    /// Text of a table: a CSV file as it is, a workbook or a Parquet file as the CSV it stands for.
    ///
    /// # Errors
    /// As [`text`](Self::text); a workbook that is damaged, locked or too large; a Parquet file that is damaged, or met by a build without the feature `archive`.
    fn table(&self, name: &Path) -> Result<String, Error> {
        table_text(name, self.bytes(name)?)
    }

    /// An archive of many trials, which a command reads and adds to while it works.
    ///
    /// # Errors
    /// Sources that are no disk.
    #[cfg(feature = "archive")]
    fn archive(&self, folder: &Path) -> Result<Archive, Error> {
        Err(Error::new(
            folder.display().to_string(),
            "an archive is a folder on a disk, and here are only texts held in memory",
            "Run the command at a terminal.",
        ))
    }

    /// The same of a table of which only sums are taken, and which may therefore be larger.
    ///
    /// # Errors
    /// As [`table`](Self::table).
    fn summed_table(&self, name: &Path) -> Result<String, Error> {
        table_text(name, self.bytes_within(name, &SUMMED_SIZE)?)
    }
}

/// Texts by their names, for a page that was given them and for tests.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Texts {
    files: BTreeMap<PathBuf, Vec<u8>>,
}

impl Texts {
    /// The same with one more file, or with a file's later content.
    #[must_use]
    pub fn with(mut self, name: impl Into<PathBuf>, content: impl Into<Vec<u8>>) -> Self {
        self.put(name, content);
        self
    }

    /// Takes in a file, or a file's later content.
    pub fn put(&mut self, name: impl Into<PathBuf>, content: impl Into<Vec<u8>>) {
        self.files.insert(plain(&name.into()), content.into());
    }
}

/// A name without the dots that stand for the folder itself.
fn plain(name: &Path) -> PathBuf {
    let parts = name.components();
    parts.filter(|part| *part != Component::CurDir).collect()
}

impl Sources for Texts {
    fn entry(&self, name: &Path) -> Entry {
        let name = plain(name);
        if self.files.contains_key(&name) {
            Entry::File
        } else if self.files.keys().any(|file| file.starts_with(&name)) {
            Entry::Folder
        } else {
            Entry::Nothing
        }
    }

    fn beside(&self, name: &Path) -> Option<Vec<String>> {
        let name = plain(name);
        let folder = name.parent()?;
        let inside = self.files.keys().filter_map(|file| {
            let first = file.strip_prefix(folder).ok()?.components().next()?;
            Some(first.as_os_str().to_string_lossy().into_owned())
        });
        let mut names: Vec<String> = inside.collect();
        names.dedup();
        Some(names).filter(|names| !names.is_empty())
    }

    fn bytes_within(&self, name: &Path, _size: &Range) -> Result<Vec<u8>, Error> {
        let absent = || absent(name, self.beside(name).as_deref());
        self.files.get(&plain(name)).cloned().ok_or_else(absent)
    }
}
