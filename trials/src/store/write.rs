//! Texts into files: all of them or none, each whole or not at all.

use std::io::Write;
use std::path::{Path, PathBuf};

use crate::Error;

use super::folder::COUNTS;
use super::own::{is_earlier, marked};

/// A text that is to become a file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NewFile {
    /// Where.
    pub path: PathBuf,
    /// What.
    pub text: String,
    /// Whether a file of that name may be replaced.
    pub replace: Replace,
}

impl NewFile {
    /// Its path as the user would type it.
    #[must_use]
    pub fn shown(&self) -> String {
        let path = self.path.strip_prefix(".").unwrap_or(&self.path);
        path.display().to_string()
    }
}

/// Whether a file that is there already may be replaced.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Replace {
    /// Refuse.
    Never,
    /// Put the new file in its place if the old one is an earlier writing of ours.
    Own,
    /// Put the new file in its place, whatever is there: only where the old one is kept under another name.
    Kept,
}

/// Writes all files, making folders as needed.
///
/// Every text is first written and synchronised under a temporary name beside its target; only when
/// all have arrived are they renamed, in the order given. A fault before that leaves nothing behind.
///
/// # Errors
/// A target that exists and may not be replaced or is not ours, any `counts.csv` that exists whatever
/// `replace` says, two texts for one target, a folder that cannot be made, a disk that is full or read-only.
pub fn write_all(files: &[NewFile]) -> Result<(), Error> {
    for (i, file) in files.iter().enumerate() {
        may_write(file)?;
        if files[..i].iter().any(|f| f.path == file.path) {
            let what = "two files of one name would be written here";
            let cure = "Rename what they are named after.";
            return Err(Error::new(file.path.display().to_string(), what, cure));
        }
    }
    let mut waiting = Vec::with_capacity(files.len());
    for file in files {
        match write_beside(&file.path, &marked(&file.text)) {
            Ok(temporary) => waiting.push((temporary, &file.path)),
            Err(e) => {
                for (temporary, _) in &waiting {
                    discard(temporary);
                }
                return Err(e);
            }
        }
    }
    for (i, (temporary, target)) in waiting.iter().enumerate() {
        if let Err(e) = std::fs::rename(temporary, target) {
            for (left, _) in &waiting[i..] {
                discard(left);
            }
            return Err(unwritable(target, &e));
        }
    }
    for (_, target) in &waiting {
        synchronise_folder(target);
    }
    Ok(())
}

fn may_write(file: &NewFile) -> Result<(), Error> {
    if file.path.symlink_metadata().is_err() {
        return Ok(());
    }
    let counts = file.path.file_name().is_some_and(|n| n == COUNTS);
    let (what, cure) = match file.replace {
        _ if counts => (
            "a file of this name is there already",
            "Counts are never overwritten: move the file away yourself if it is not wanted.",
        ),
        Replace::Own if !is_earlier(&file.path, &file.text) => (
            "the file that is there was not written by this command and is not overwritten",
            "Give another name or folder, or move the file away.",
        ),
        Replace::Never => (
            "a file of this name is there already",
            "Choose another folder, or move the file away.",
        ),
        Replace::Own | Replace::Kept => return Ok(()),
    };
    Err(Error::new(file.path.display().to_string(), what, cure))
}

/// Writes the text under a temporary name in the target's folder and returns that name.
fn write_beside(target: &Path, text: &str) -> Result<PathBuf, Error> {
    let folder = target.parent().unwrap_or(Path::new(""));
    if !folder.as_os_str().is_empty() {
        std::fs::create_dir_all(folder).map_err(|e| unwritable(folder, &e))?;
    }
    let name = target.file_name().unwrap_or_default().to_string_lossy();
    let temporary = folder.join(format!(".{name}.{}.part", std::process::id()));
    let written = fill(&temporary, text);
    if let Err(e) = written {
        discard(&temporary);
        return Err(unwritable(target, &e));
    }
    Ok(temporary)
}

fn fill(path: &Path, text: &str) -> std::io::Result<()> {
    #[expect(
        clippy::disallowed_types,
        reason = "this is the one place that writes files"
    )]
    let mut file = std::fs::File::create(path)?;
    file.write_all(text.as_bytes())?;
    file.flush()?;
    file.sync_all()
}

/// Removes a temporary file. A failure leaves a dot-file behind, which the first fault outweighs.
fn discard(temporary: &Path) {
    std::fs::remove_file(temporary).unwrap_or_default();
}

/// Makes the renaming itself durable. Not every system can synchronise a folder, and the files are
/// whole either way.
fn synchronise_folder(target: &Path) {
    let folder = target.parent().filter(|p| !p.as_os_str().is_empty());
    #[expect(
        clippy::disallowed_types,
        reason = "this is the one place that writes files"
    )]
    let opened = std::fs::File::open(folder.unwrap_or(Path::new(".")));
    opened.and_then(|f| f.sync_all()).unwrap_or_default();
}

fn unwritable(path: &Path, e: &std::io::Error) -> Error {
    Error::new(
        path.display().to_string(),
        format!("cannot be written ({e})"),
        "Check that the folder exists, that you may write there and that the disk is not full.",
    )
}
