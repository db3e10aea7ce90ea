//! A text that is to become a file, read as if it were there already and nothing else were.

use std::path::{Path, PathBuf};

use super::sources::{Entry, Sources};
use crate::Error;
use crate::ranges::Range;

/// Other sources with one text put under a name, and another name left out.
#[derive(Debug)]
pub struct Under<'a> {
    sources: &'a dyn Sources,
    name: PathBuf,
    content: &'a [u8],
    without: PathBuf,
}

impl<'a> Under<'a> {
    /// Puts a text under a name, and leaves out what is `without`.
    pub fn new(
        sources: &'a dyn Sources,
        name: PathBuf,
        content: &'a [u8],
        without: PathBuf,
    ) -> Self {
        Self {
            sources,
            name,
            content,
            without,
        }
    }
}

impl Sources for Under<'_> {
    fn entry(&self, name: &Path) -> Entry {
        if name == self.name {
            Entry::File
        } else if name == self.without {
            Entry::Nothing
        } else {
            self.sources.entry(name)
        }
    }

    fn beside(&self, name: &Path) -> Option<Vec<String>> {
        self.sources.beside(name)
    }

    fn bytes_within(&self, name: &Path, size: &Range) -> Result<Vec<u8>, Error> {
        if name == self.name {
            Ok(self.content.to_vec())
        } else {
            self.sources.bytes_within(name, size)
        }
    }
}
