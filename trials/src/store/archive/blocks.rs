//! The text of a table in blocks of whole lines, so that it may be larger than memory.

use std::fmt::Write;
use std::io::{Cursor, Read};
use std::path::{Path, PathBuf};

use memchr::memchr_iter;
use sha2::digest::Update;
use sha2::{Digest as _, Sha256};

use super::Archive;
use crate::Error;
use crate::store::read::{decoded, unreadable};
use crate::store::table_text::table_text;
use crate::table::{Halves, separator_of};

/// Bytes that are read at once.
const BLOCK: usize = 2 << 20;
/// Longest text without a line that is whole, bytes: beyond it a quotation mark is open that swallows the rest.
const LONGEST: usize = 64 << 20;
/// Bytes in which the header and a line are looked for.
const HEAD: usize = 64 << 10;

/// Whole lines of a table.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TextBlock {
    /// The lines.
    pub text: String,
    /// Number of the first.
    pub first_line: u64,
}

/// The digest of a table that nobody keeps.
#[derive(Debug, Clone, Copy, Default)]
pub struct Undigested;

impl Update for Undigested {
    fn update(&mut self, _: &[u8]) {}
}

/// A table on its way from the disk, digested as `D` does.
pub struct SourceText<D = Undigested> {
    shown: String,
    from: Box<dyn Read + Send>,
    /// What was read and is not handed out: its beginning is the beginning of a line.
    held: Vec<u8>,
    line: u64,
    ended: bool,
    separator: u8,
    digest: D,
}

impl<D> std::fmt::Debug for SourceText<D> {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("SourceText")
            .field("shown", &self.shown)
            .field("line", &self.line)
            .finish_non_exhaustive()
    }
}

impl Archive {
    /// Opens a table that is taken in: CSV as it is, whatever its size; a workbook or a Parquet file as the CSV it stands for. It is
    /// digested while it is read.
    ///
    /// # Errors
    /// A file that cannot be read, or is no table.
    pub fn source(&self, path: &Path) -> Result<SourceText<Sha256>, Error> {
        SourceText::open(path)
    }

    /// Opens a table in the same way, only to be read.
    ///
    /// # Errors
    /// As [`source`](Self::source).
    pub fn lines(&self, path: &Path) -> Result<SourceText, Error> {
        SourceText::open(path)
    }
}

impl<D: Update + Default> SourceText<D> {
    fn open(path: &Path) -> Result<Self, Error> {
        let shown = path.display().to_string();
        let unreadable = |e: std::io::Error| unreadable(&shown, &e);
        #[expect(
            clippy::disallowed_types,
            reason = "tables larger than memory are read here"
        )]
        let mut file = std::fs::File::open(path).map_err(unreadable)?;
        let mut start = [0; 4];
        let mut length = 0;
        while length < start.len() {
            match file.read(&mut start[length..]).map_err(unreadable)? {
                0 => break,
                n => length += n,
            }
        }
        let start = start[..length].to_vec();
        let packed = start.starts_with(b"PK") || start.starts_with(b"PAR1");
        let from: Box<dyn Read + Send> = if packed {
            let mut bytes = start;
            file.read_to_end(&mut bytes).map_err(unreadable)?;
            Box::new(Cursor::new(
                table_text(&named_by(path, &bytes), bytes)?.into_bytes(),
            ))
        } else {
            Box::new(Cursor::new(start).chain(file))
        };
        let mut text = Self {
            shown,
            from,
            held: Vec::new(),
            line: 1,
            ended: false,
            separator: b',',
            digest: D::default(),
        };
        text.read_on()?;
        if text.held.starts_with(b"\xef\xbb\xbf") {
            text.held.drain(..3);
        }
        text.separator = separator_of(&text.head()?);
        Ok(text)
    }
}

impl<D: Update> SourceText<D> {
    /// The first lines, in which the header and a line below it are.
    ///
    /// # Errors
    /// Bytes that are not UTF-8.
    pub fn head(&self) -> Result<String, Error> {
        let first = &self.held[..self.held.len().min(HEAD)];
        let whole = first
            .iter()
            .rposition(|b| *b == b'\n')
            .map_or(first.len(), |at| at + 1);
        decoded(&self.shown, first[..whole].to_vec())
    }

    /// The next lines; nothing behind the last one.
    ///
    /// # Errors
    /// A disk that fails, a quotation mark that is never closed, bytes that are not UTF-8.
    pub fn next_block(&mut self) -> Result<Option<TextBlock>, Error> {
        let halves = Halves::of(self.separator);
        let mut whole = halves.whole_lines(&self.held);
        while whole == 0 && !self.ended {
            if self.held.len() > LONGEST {
                let what = "a quotation mark is opened here and never closed, or a line is longer than 64 MB";
                let place = format!("{}:{}", self.shown, self.line);
                return Err(Error::new(place, what, "Close it, or take it out."));
            }
            self.read_on()?;
            whole = halves.whole_lines(&self.held);
        }
        if self.ended {
            whole = self.held.len();
        }
        if whole == 0 {
            return Ok(None);
        }
        let rest = self.held.split_off(whole);
        let bytes = std::mem::replace(&mut self.held, rest);
        let first_line = self.line;
        self.line += memchr_iter(b'\n', &bytes).count() as u64;
        if !self.ended && self.held.len() < BLOCK {
            self.read_on()?;
        }
        let text = String::from_utf8(bytes).map_err(|fault| self.not_utf8(&fault, first_line))?;
        Ok(Some(TextBlock { text, first_line }))
    }

    fn read_on(&mut self) -> Result<(), Error> {
        let before = self.held.len();
        self.held.reserve(BLOCK);
        let most = BLOCK as u64;
        let read = Read::by_ref(&mut self.from)
            .take(most)
            .read_to_end(&mut self.held);
        let read = read.map_err(|e| unreadable(&self.shown, &e))?;
        self.digest.update(&self.held[before..]);
        self.ended = read < BLOCK;
        Ok(())
    }

    fn not_utf8(&self, fault: &std::string::FromUtf8Error, first: u64) -> Error {
        let bytes = fault.as_bytes();
        let at = fault.utf8_error().valid_up_to();
        let line = first + memchr_iter(b'\n', &bytes[..at]).count() as u64;
        Error::new(
            format!("{}:{line}", self.shown),
            format!("a byte (0x{:02x}) is not part of a UTF-8 text", bytes[at]),
            "Save it again as UTF-8 (in a spreadsheet: \"CSV UTF-8\").",
        )
    }
}

impl SourceText<Sha256> {
    /// SHA-256 of all that was read.
    #[must_use]
    pub fn sha256(self) -> String {
        let mut text = String::with_capacity(64);
        for byte in self.digest.finalize() {
            // Writing into a text cannot fail.
            let _ = write!(text, "{byte:02x}");
        }
        text
    }
}

/// The name by which a packed table is read: a Parquet file may bear any.
fn named_by(path: &Path, bytes: &[u8]) -> PathBuf {
    if bytes.starts_with(b"PAR1") {
        path.with_extension("parquet")
    } else {
        path.to_path_buf()
    }
}
