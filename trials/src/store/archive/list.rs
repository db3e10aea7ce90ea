//! Lists of lines that only grow: a line counts once its end is written.

#[expect(
    clippy::disallowed_types,
    reason = "lines are added to opened files here"
)]
use std::fs::File;
use std::io::{BufRead, BufReader, ErrorKind, Read, Seek, SeekFrom, Write};
use std::path::Path;

use serde::Serialize;
use serde::de::DeserializeOwned;

use super::unwritable;
use crate::Error;
use crate::store::read::unreadable;

/// Longest stretch without the end of a line that is looked for at once, bytes.
const STRETCH: u64 = 1 << 16;

/// Hands every whole line of a list to `take`; nothing where there is no list.
///
/// # Errors
/// A list that cannot be read, and a line that is none of its kind.
pub(super) fn each<T: DeserializeOwned>(
    path: &Path,
    mut take: impl FnMut(T) -> Result<(), Error>,
) -> Result<(), Error> {
    let shown = path.display().to_string();
    #[expect(clippy::disallowed_types, reason = "lists are read here")]
    let opened = File::open(path);
    let file = match opened {
        Ok(file) => file,
        Err(e) if e.kind() == ErrorKind::NotFound => return Ok(()),
        Err(e) => return Err(unreadable(&shown, &e)),
    };
    let mut lines = BufReader::with_capacity(1 << 20, file);
    let mut line = Vec::new();
    for number in 1_u64.. {
        line.clear();
        lines
            .read_until(b'\n', &mut line)
            .map_err(|e| unreadable(&shown, &e))?;
        // The last line of a run that was killed while it wrote it.
        if line.last() != Some(&b'\n') {
            break;
        }
        let read = serde_json::from_slice(&line).map_err(|e| {
            Error::new(
                format!("{shown}:{number}"),
                format!("this line cannot be read ({e})"),
                "Restore the file from a copy; or move it away, and what it tells of is worked out anew.",
            )
        });
        take(read?)?;
    }
    Ok(())
}

/// A list that is added to.
#[derive(Debug)]
#[expect(
    clippy::disallowed_types,
    reason = "lines are added to opened files here"
)]
pub(super) struct Growing {
    file: File,
    shown: String,
}

impl Growing {
    /// Opens a list, or begins one; a line without its end is taken away.
    ///
    /// # Errors
    /// A list that cannot be written.
    pub(super) fn open(path: &Path) -> Result<Self, Error> {
        let failed = |e: std::io::Error| unwritable(path, &e);
        if let Some(folder) = path.parent() {
            std::fs::create_dir_all(folder).map_err(failed)?;
        }
        #[expect(
            clippy::disallowed_types,
            reason = "lines are added to opened files here"
        )]
        let mut options = File::options();
        let options = options.create(true).truncate(false).read(true).write(true);
        let mut file = options.open(path).map_err(failed)?;
        let end = whole_lines(&mut file).map_err(failed)?;
        file.set_len(end)
            .and_then(|()| file.seek(SeekFrom::End(0)))
            .map_err(failed)?;
        Ok(Self {
            file,
            shown: path.display().to_string(),
        })
    }

    /// Keeps other runs out; `false` where one is at work on this list.
    pub(super) fn keep_out_others(&self) -> bool {
        !matches!(self.file.try_lock(), Err(std::fs::TryLockError::WouldBlock))
    }

    /// Adds lines at once.
    ///
    /// # Errors
    /// A disk that is full.
    pub(super) fn add<T: Serialize>(&mut self, lines: &[T]) -> Result<(), Error> {
        let mut text = Vec::new();
        for line in lines {
            serde_json::to_writer(&mut text, line).map_err(|e| {
                let what = format!("a line cannot be written ({e})");
                Error::new(self.shown.clone(), what, "Report this as a fault.")
            })?;
            text.push(b'\n');
        }
        self.file
            .write_all(&text)
            .map_err(|e| unwritable(Path::new(&self.shown), &e))
    }

    /// Sees all lines onto the disk.
    ///
    /// # Errors
    /// A disk that is full.
    pub(super) fn synchronise(&self) -> Result<(), Error> {
        self.file
            .sync_data()
            .map_err(|e| unwritable(Path::new(&self.shown), &e))
    }
}

/// Length of a file up to the end of its last whole line.
#[expect(
    clippy::disallowed_types,
    reason = "lines are added to opened files here"
)]
fn whole_lines(file: &mut File) -> std::io::Result<u64> {
    let mut end = file.seek(SeekFrom::End(0))?;
    while end > 0 {
        let start = end.saturating_sub(STRETCH);
        let mut stretch = Vec::new();
        file.seek(SeekFrom::Start(start))?;
        Read::by_ref(file)
            .take(end - start)
            .read_to_end(&mut stretch)?;
        if let Some(at) = stretch.iter().rposition(|b| *b == b'\n') {
            return Ok(start + at as u64 + 1);
        }
        end = start;
    }
    Ok(0)
}
