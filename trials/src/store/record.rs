//! The list, kept in each folder, of the files that were written into it: it tells what is ours to replace.

use std::path::Path;

use serde::{Deserialize, Serialize};

use super::read::read_text;
use super::write::is_there;
use super::{NewFile, Replace};
use crate::Error;
use crate::design::sha256;

/// Name of the list.
pub const WRITTEN: &str = "written-by-halfgreen.toml";

/// What stands above the list, for people.
const PREFACE: &str = "\
# The files that halfgreen wrote into this folder, with the SHA-256 of each as it was last written and as it was before.
# A command replaces a file only if the same command wrote it and nobody changed it since. Copy this list with the
# folder; without it, every file that is here counts as yours and is never replaced.
";

/// The files that were written into a folder.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Record {
    #[serde(default, rename = "file")]
    files: Vec<Written>,
}

/// A file that was written, or is about to be.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Written {
    /// Its name in the folder, with `/` between parts.
    pub(super) name: String,
    /// The command whose work it is.
    command: String,
    /// Digest of its last text, and of the one before where that differs.
    sha256: Vec<String>,
}

impl Record {
    /// The list of a folder; an empty one where there is none.
    ///
    /// # Errors
    /// A file of that name that cannot be read, or is no such list.
    pub(super) fn of(folder: &Path) -> Result<Self, Error> {
        let path = folder.join(WRITTEN);
        if !is_there(&path) {
            return Ok(Self::default());
        }
        toml::from_str(&read_text(&path)?).map_err(|fault| {
            Error::new(
                path.display().to_string(),
                format!("this is not the list of what was written here ({})", fault.message()),
                "Restore it from a copy, or move it away: then every file that is here counts as yours.",
            )
        })
    }

    pub(super) fn files(&self) -> &[Written] {
        &self.files
    }

    /// Whether a file with this digest is the work of this command, as it left it.
    pub(super) fn owns(&self, file: &NewFile, digest: &str) -> bool {
        let name = listed(&file.name);
        let mut named = self.files.iter().filter(|f| f.name == name);
        named.any(|f| f.command == file.by && f.knows(digest))
    }

    /// Enters a file that is about to be written, and the digest of what it replaces.
    pub(super) fn enter(&mut self, file: &NewFile, replaced: Option<String>) {
        let name = listed(&file.name);
        self.files.retain(|f| f.name != name);
        let mut sha256 = vec![sha256(&file.content)];
        sha256.extend(replaced.filter(|old| *old != sha256[0]));
        self.files.push(Written {
            name,
            command: file.by.to_owned(),
            sha256,
        });
    }

    /// The list as a file of its folder.
    ///
    /// # Errors
    /// None that is known: names and digests can always be written.
    pub(super) fn as_file(&self, folder: &Path) -> Result<NewFile, Error> {
        let mut sorted = self.clone();
        sorted.files.sort_by(|a, b| a.name.cmp(&b.name));
        let list = toml::to_string(&sorted).map_err(|fault| {
            let what = format!("the list cannot be written ({fault})");
            Error::new(WRITTEN, what, "Report this as a fault.")
        })?;
        Ok(NewFile {
            by: "",
            folder: folder.to_path_buf(),
            name: WRITTEN.into(),
            content: format!("{PREFACE}\n{list}").into_bytes(),
            replace: Replace::Kept,
        })
    }
}

impl Written {
    /// Whether this is the digest of its last text or of the one before.
    pub(super) fn knows(&self, digest: &str) -> bool {
        self.sha256.iter().any(|known| known == digest)
    }

    /// Digest of its last text.
    pub(super) fn last(&self) -> &str {
        self.sha256.first().map_or("", String::as_str)
    }
}

/// A name as the list has it.
pub(super) fn listed(name: &Path) -> String {
    let parts = name.components().map(|c| c.as_os_str().to_string_lossy());
    parts.collect::<Vec<_>>().join("/")
}
