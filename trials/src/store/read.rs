//! Texts from files.

use std::io::{ErrorKind, Read};
use std::path::Path;

use super::absent::absent;
use crate::Error;
use crate::ranges::Range;
use crate::ranges::tables::FILE_SIZE;

/// Reads a UTF-8 text; a byte-order mark is dropped.
///
/// # Errors
/// A file that is absent or cannot be opened, and bytes that are not UTF-8 (with the line and the
/// byte where they stand).
pub fn read_text(path: &Path) -> Result<String, Error> {
    decoded(&path.display().to_string(), bytes(path, &FILE_SIZE)?)
}

/// Reads a file, and no more of it than it may hold, in megabytes.
pub(super) fn bytes(path: &Path, size: &Range) -> Result<Vec<u8>, Error> {
    let shown = path.display().to_string();
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "the range is positive, and a file shorter than it"
    )]
    let most = (size.end() * 1e6) as u64;
    let mut bytes = Vec::new();
    #[expect(
        clippy::disallowed_types,
        reason = "this is the one place that reads files"
    )]
    std::fs::File::open(path)
        .and_then(|file| file.take(most + 1).read_to_end(&mut bytes))
        .map_err(|e| unreadable(&shown, &e))?;
    if bytes.len() as u64 > most {
        let found = "it is larger than that";
        return Err(size.refuse(
            shown,
            found,
            "Leave out what is not asked about, or part it.",
        ));
    }
    Ok(bytes)
}

/// Names in the folder of a path, in order; `None` where there is no such folder.
pub(super) fn names_beside(path: &Path) -> Option<Vec<String>> {
    let folder = path.parent().filter(|p| !p.as_os_str().is_empty());
    let entries = std::fs::read_dir(folder.unwrap_or(Path::new("."))).ok()?;
    let names = entries.filter_map(|entry| entry.ok()?.file_name().into_string().ok());
    let mut names: Vec<String> = names.collect();
    names.sort_unstable();
    Some(names)
}

/// Bytes as a UTF-8 text without a byte-order mark.
pub(super) fn decoded(shown: &str, bytes: Vec<u8>) -> Result<String, Error> {
    match String::from_utf8(bytes) {
        Ok(text) => Ok(match text.strip_prefix('\u{feff}') {
            Some(rest) => rest.to_owned(),
            None => text,
        }),
        Err(fault) => Err(not_utf8(
            shown,
            fault.as_bytes(),
            fault.utf8_error().valid_up_to(),
        )),
    }
}

/// Why what is called `shown` could not be read.
pub(super) fn unreadable(shown: &str, e: &std::io::Error) -> Error {
    let (what, cure) = match e.kind() {
        ErrorKind::NotFound => {
            let path = Path::new(shown);
            return absent(path, names_beside(path).as_deref());
        }
        ErrorKind::PermissionDenied => (
            "the file may not be read".to_owned(),
            "Change its permissions or copy it to a folder of your own.",
        ),
        ErrorKind::IsADirectory => (
            "this is a folder, not a file".to_owned(),
            "Name a file inside it.",
        ),
        _ => (
            format!("the file cannot be read ({e})"),
            "Close other programs that use it and try again.",
        ),
    };
    Error::new(shown, what, cure)
}

fn not_utf8(shown: &str, bytes: &[u8], at: usize) -> Error {
    let before = &bytes[..at];
    let line = before.split(|b| *b == b'\n').count();
    let start = before
        .iter()
        .rposition(|b| *b == b'\n')
        .map_or(0, |n| n + 1);
    let column = String::from_utf8_lossy(&before[start..]).chars().count() + 1;
    let cure = if bytes.starts_with(&[0xff, 0xfe]) || bytes.starts_with(&[0xfe, 0xff]) {
        "It looks like UTF-16: save it again as UTF-8 (in a spreadsheet: \"CSV UTF-8\")."
    } else if bytes.starts_with(b"PK") {
        "It looks like a spreadsheet workbook: save it as \"CSV UTF-8\"."
    } else if bytes.starts_with(&[0xd0, 0xcf, 0x11, 0xe0]) {
        "It looks like a workbook of an old form, or one with a password: save it as .xlsx without one, or as \"CSV UTF-8\"."
    } else {
        "Save it again as UTF-8 (in a spreadsheet: \"CSV UTF-8\")."
    };
    Error::new(
        format!("{shown}:{line}:{column}"),
        format!(
            "byte {} (0x{:02x}) is not part of a UTF-8 text",
            at + 1,
            bytes[at]
        ),
        cure,
    )
}
