//! The disk as a source of texts, which remembers what was read from it so that nothing read is overwritten.

use std::cell::RefCell;
use std::path::{Path, PathBuf};

use crate::Error;

use super::read;
use super::sources::{Entry, Sources};
use super::write::{NewFile, Replace, write_all};

/// The disk, as one command meets it; names start from the folder that the user is in.
#[derive(Debug, Default)]
pub struct Disk {
    read: RefCell<Vec<PathBuf>>,
}

impl Disk {
    /// Writes what a command gave back: all files or none.
    ///
    /// # Errors
    /// As [`write_all`]; a target that the command read, under whichever name, unless it is kept beside.
    pub fn write(&self, files: &[NewFile]) -> Result<(), Error> {
        let real = |path: &Path| path.canonicalize().ok();
        let inputs: Vec<_> = self.read.borrow().iter().filter_map(|p| real(p)).collect();
        let own = files.iter().filter(|f| f.replace == Replace::Own);
        for file in own {
            if real(&file.path).is_some_and(|p| inputs.contains(&p)) {
                return Err(Error::new(
                    file.path.display().to_string(),
                    "this is a file that the command reads, and it would be overwritten",
                    "Give another name or folder for what is to be written.",
                ));
            }
        }
        write_all(files)
    }
}

impl Sources for Disk {
    fn entry(&self, name: &Path) -> Entry {
        if name.is_dir() {
            let empty = name
                .read_dir()
                .is_ok_and(|mut entries| entries.next().is_none());
            return if empty {
                Entry::EmptyFolder
            } else {
                Entry::Folder
            };
        }
        // A link that leads nowhere is something that must not be written over.
        if name.symlink_metadata().is_ok() {
            Entry::File
        } else {
            Entry::Nothing
        }
    }

    fn bytes(&self, name: &Path) -> Result<Vec<u8>, Error> {
        let bytes = read::bytes(name)?;
        self.read.borrow_mut().push(name.to_path_buf());
        Ok(bytes)
    }
}
