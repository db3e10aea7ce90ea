//! A text, or a workbook, that is to become a file, and what may be in its way.

use std::borrow::Cow;
use std::path::{Path, PathBuf};

/// A text, or a workbook, that is to become a file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NewFile {
    /// Name of the command whose work it is.
    pub by: &'static str,
    /// Folder that it belongs to, in which the list of what was written is kept.
    pub folder: PathBuf,
    /// Where in the folder.
    pub name: PathBuf,
    /// What: a text in UTF-8, but for a workbook.
    pub content: Vec<u8>,
    /// Whether a file of that name may be replaced.
    pub replace: Replace,
}

/// Whether a file that is there already may be replaced.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Replace {
    /// Refuse.
    Never,
    /// Put the new file in its place if the old one is as the same command wrote it.
    Own,
    /// Put the new file in its place, whatever is there: only where the old one is kept under another name.
    Kept,
}

impl NewFile {
    /// A file that takes the place of an earlier one by the same command, and of nothing else.
    pub fn own(
        by: &'static str,
        folder: impl Into<PathBuf>,
        name: impl Into<PathBuf>,
        content: impl Into<Vec<u8>>,
    ) -> Self {
        Self {
            by,
            folder: folder.into(),
            name: name.into(),
            content: content.into(),
            replace: Replace::Own,
        }
    }

    /// A file at a path that the user named, otherwise as [`own`](Self::own).
    #[must_use]
    pub fn at(by: &'static str, path: &Path, content: impl Into<Vec<u8>>) -> Self {
        let folder = path.parent().unwrap_or(Path::new(""));
        Self::own(by, folder, path.file_name().unwrap_or_default(), content)
    }

    /// A file that takes nothing's place.
    pub fn first(
        by: &'static str,
        folder: impl Into<PathBuf>,
        name: impl Into<PathBuf>,
        content: impl Into<Vec<u8>>,
    ) -> Self {
        Self {
            replace: Replace::Never,
            ..Self::own(by, folder, name, content)
        }
    }

    /// What it holds, as text.
    #[must_use]
    pub fn text(&self) -> Cow<'_, str> {
        String::from_utf8_lossy(&self.content)
    }

    /// Its path.
    #[must_use]
    pub fn path(&self) -> PathBuf {
        self.folder.join(&self.name)
    }

    /// Its path as the user would type it.
    #[must_use]
    pub fn shown(&self) -> String {
        let path = self.path();
        path.strip_prefix(".")
            .unwrap_or(&path)
            .display()
            .to_string()
    }
}
