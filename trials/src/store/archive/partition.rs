//! Names of the archive's folders and files.

use std::fmt::Write;

use crate::design::sha256;

/// Folder of the rows.
pub(super) const COUNTS: &str = "counts";
/// Folder of trial folders as they were.
pub(super) const TRIALS: &str = "trials";

/// Most bytes of a club's name that a folder bears; 255 are what every usual file system takes, with a digest behind.
const LONGEST: usize = 220;

/// Digits of a source's digest in the name of a file.
const DIGITS: usize = 16;

/// Folder of a club's season, by its path in the archive. Signs that file systems or engines take for their own are written as
/// per cent and two hexadecimal digits of each byte.
pub(super) fn folder(top: &str, season: i16, club: &str) -> String {
    let mut name = escaped(club);
    if name.len() > LONGEST {
        let cut = (0..=LONGEST).rev().find(|at| name.is_char_boundary(*at));
        name.truncate(cut.unwrap_or(0));
        name.push_str(&sha256(club)[..DIGITS]);
    }
    format!("{top}/season={season}/club={name}")
}

fn escaped(name: &str) -> String {
    let mut out = String::with_capacity(name.len());
    for c in name.chars() {
        if c.is_alphanumeric() || matches!(c, '-' | '_' | ' ') {
            out.push(c);
        } else {
            for byte in c.encode_utf8(&mut [0; 4]).bytes() {
                // Writing to a String cannot fail.
                write!(out, "%{byte:02X}").unwrap_or_default();
            }
        }
    }
    out
}

/// File of the n-th part of a source's rows.
pub(super) fn rows_file(sha256: &str, part: usize) -> String {
    format!("{}-{part:04}.parquet", &sha256[..DIGITS.min(sha256.len())])
}

/// File of a trial folder's texts.
pub(super) fn kept_file(sha256: &str) -> String {
    format!("{}.zip", &sha256[..DIGITS.min(sha256.len())])
}

/// Whether a file, by its path, has a name that only an archive gives, its parts on their way among them.
pub(super) fn is_ours(path: &str) -> bool {
    let name = path.rsplit('/').next().unwrap_or(path);
    let hex = |text: &str| text.len() == DIGITS && text.bytes().all(|b| b.is_ascii_hexdigit());
    let part = name
        .strip_prefix(".halfgreen-")
        .and_then(|n| n.strip_suffix(".part"));
    let rows = name
        .strip_suffix(".parquet")
        .and_then(|n| n.rsplit_once('-'));
    let kept = name.strip_suffix(".zip");
    part.is_some_and(hex)
        || kept.is_some_and(hex)
        || rows
            .is_some_and(|(of, n)| hex(of) && n.len() >= 4 && n.bytes().all(|b| b.is_ascii_digit()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_are_those_that_engines_read() {
        let folder = folder(COUNTS, 2026, "St. Anne's / Öst=1");
        assert_eq!(folder, "counts/season=2026/club=St%2E Anne%27s %2F Öst%3D1");
    }

    #[test]
    fn only_own_names_are_ours() {
        let digest = "0123456789abcdef0123";
        for name in [
            rows_file(digest, 3),
            rows_file(digest, 12345),
            kept_file(digest),
        ] {
            assert!(
                is_ours(&format!("counts/season=2026/club=a/{name}")),
                "{name}"
            );
        }
        for name in [
            "notes.txt",
            "a.parquet",
            "0123456789abcdef.parquet",
            "x-0001.parquet",
            ".halfgreen-mine.part",
        ] {
            assert!(!is_ours(name), "{name}");
        }
    }
}
