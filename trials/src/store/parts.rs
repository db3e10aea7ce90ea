//! Texts on their way: written beside their targets, then renamed; those of a run that was killed are finished or
//! cleared away by the next.

use std::collections::BTreeSet;
use std::ffi::OsStr;
use std::io::Write;
use std::path::{Path, PathBuf};

use super::lock::{LOCK, Lock};
use super::record::{Record, WRITTEN, listed};
use super::write::is_there;
use crate::design::sha256;

/// How the name of a text on its way begins and ends; between them stand sixteen hexadecimal digits.
const PART: (&str, &str) = (".halfgreen-", ".part");

/// Name under which the text with this digest waits to become the file of this name.
pub(super) fn part_name(name: &Path, text: &str) -> String {
    let both = sha256(format!("{}\0{text}", listed(name)));
    format!("{}{}{}", PART.0, &both[..16], PART.1)
}

fn is_part(name: &str) -> bool {
    let inside = name
        .strip_prefix(PART.0)
        .and_then(|n| n.strip_suffix(PART.1));
    inside.is_some_and(|hex| hex.len() == 16 && hex.bytes().all(|b| b.is_ascii_hexdigit()))
}

/// A folder by a name that can be opened: the one that the user is in has none.
pub(super) fn opened(folder: &Path) -> &Path {
    if folder.as_os_str().is_empty() {
        Path::new(".")
    } else {
        folder
    }
}

/// Every part in a folder.
pub(super) fn parts(folder: &Path) -> Vec<PathBuf> {
    let entries = opened(folder).read_dir().into_iter().flatten().flatten();
    let ours = entries.filter(|e| e.file_name().to_str().is_some_and(is_part));
    ours.map(|e| e.path()).collect()
}

/// Whether a folder holds nothing but texts on their way and what it may be locked by.
pub(super) fn is_vacant(folder: &Path) -> bool {
    let ours = |name: &OsStr| name == LOCK || name.to_str().is_some_and(is_part);
    let entries = opened(folder).read_dir();
    entries.is_ok_and(|mut all| all.all(|entry| entry.is_ok_and(|e| ours(&e.file_name()))))
}

/// The folder itself and those in it that its files lie in, in order; only what is there.
pub(super) fn folders_of<'a>(
    folder: &Path,
    names: impl Iterator<Item = &'a Path>,
) -> BTreeSet<PathBuf> {
    let below = names.filter_map(|name| Some(folder.join(name.parent()?)));
    let there = below.filter(|path| path.is_dir());
    std::iter::once(folder.to_path_buf()).chain(there).collect()
}

/// Puts right what a run that was killed left in a folder: what it had decided to write is finished, what it had
/// only begun is cleared away. Parts of a run that is still at work are waited for. Gives the files that were finished.
pub(super) fn settle(folder: &Path) -> Vec<PathBuf> {
    let mut finished = Vec::new();
    // A folder may lie in one that was written as a whole, which is put right first.
    if let Some(above) = folder.parent()
        && is_there(&above.join(WRITTEN))
    {
        finished = settle_one(above);
    }
    finished.extend(settle_one(folder));
    finished
}

fn settle_one(folder: &Path) -> Vec<PathBuf> {
    // A list that cannot be read names nothing; whoever writes here is told of it.
    let listed = || Record::of(folder).unwrap_or_default();
    let folders = |record: &Record| {
        let names = record.files().iter().map(|f| Path::new(&f.name));
        folders_of(folder, names)
    };
    let seen = folders(&listed());
    let mut finished = Vec::new();
    if seen.iter().all(|f| parts(f).is_empty()) {
        return finished;
    }
    let Ok(held) = Lock::of_all(&seen) else {
        return finished;
    };
    // Without a lock, nobody knows whether the run that they belong to is at work.
    if !held.iter().all(Lock::is_held) {
        return finished;
    }
    let record = listed();
    for file in record.files() {
        let name = Path::new(&file.name);
        finished.extend(finish(folder, name, |found| file.knows(found), file.last()));
    }
    for part in seen.iter().flat_map(|f| parts(f)) {
        discard(&part);
    }
    finished
}

/// Renames the part of a listed file, if it is there and whole, and if its target is still what it was; gives the target.
fn finish(folder: &Path, name: &Path, known: impl Fn(&str) -> bool, last: &str) -> Option<PathBuf> {
    let target = folder.join(name);
    let part = waiting(&target, folder, &part_name(name, last))?;
    let is = |path: &Path, wanted: &dyn Fn(&str) -> bool| {
        digest_of(path).is_some_and(|found| wanted(&found))
    };
    let untouched = !is_there(&target) || is(&target, &known);
    // What cannot be put in place is cleared away with the other parts.
    let whole = untouched && is(&part, &|found| found == last);
    (whole && put(&part, &target).is_ok()).then_some(target)
}

/// The part of a target: beside it, or in the folder where the target's own was not there yet.
fn waiting(target: &Path, folder: &Path, part: &str) -> Option<PathBuf> {
    let places = [target.parent().unwrap_or(folder), folder];
    let mut parts = places.into_iter().map(|place| place.join(part));
    parts.find(|part| is_there(part))
}

/// Digest of a file, if it is one.
pub(super) fn digest_of(path: &Path) -> Option<String> {
    #[expect(
        clippy::disallowed_methods,
        reason = "a file is read to tell whether it is as it was written"
    )]
    let read = |path| std::fs::read(path).ok();
    path.is_file().then(|| read(path)).flatten().map(sha256)
}

/// Renames a part to its target, in a folder that is made if need be.
pub(super) fn put(part: &Path, target: &Path) -> std::io::Result<()> {
    if let Some(folder) = target.parent().filter(|f| !f.as_os_str().is_empty()) {
        std::fs::create_dir_all(folder)?;
    }
    std::fs::rename(part, target)
}

/// Writes a content under the name of a part and sees it onto the disk. It is as open to others as what it replaces.
pub(super) fn fill(part: &Path, content: &[u8], replaced: &Path) -> std::io::Result<()> {
    #[expect(
        clippy::disallowed_types,
        reason = "this is the one place that writes files"
    )]
    // Nothing that somebody put under this name is written through.
    let mut file = std::fs::File::create_new(part)?;
    if let Ok(old) = replaced.metadata() {
        file.set_permissions(old.permissions())?;
    }
    file.write_all(content)?;
    file.sync_all()
}

/// Removes a part. A failure leaves a dot-file behind, which the next run clears away.
pub(super) fn discard(part: &Path) {
    std::fs::remove_file(part).unwrap_or_default();
}

/// Makes renaming itself durable. Not every system can synchronise a folder, and the files are
/// whole either way.
pub(super) fn synchronise(folder: &Path) {
    #[expect(
        clippy::disallowed_types,
        reason = "this is the one place that writes files"
    )]
    let folder = std::fs::File::open(opened(folder));
    folder.and_then(|f| f.sync_all()).unwrap_or_default();
}
