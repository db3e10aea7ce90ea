//! Which files are ours to replace: nothing that a user brought is ever overwritten.

use std::path::Path;

use super::read::read_text;

/// Put into every picture and page that is written, so that it is known again.
const MARK: &str = "<!-- written by halfgreen -->";

/// Name of the first key of every JSON document of ours.
const KEY: &str = "\"halfgreen\":";

/// The text with its mark, where it is a picture or a page: a comment before the end of the root.
pub(super) fn marked(text: &str) -> String {
    let end = ["</svg>", "</html>"].into_iter().find_map(|end| {
        let whole = text.trim_end().ends_with(end) && !text.contains(MARK);
        whole.then(|| text.rfind(end)).flatten()
    });
    match end {
        Some(at) => format!("{}{MARK}{}", &text[..at], &text[at..]),
        None => text.to_owned(),
    }
}

/// Whether the file that is there is an earlier writing of this text: a picture or page with our mark, a JSON
/// document with our key, or a plain text or table that begins with the same line, figures aside.
pub(super) fn is_earlier(path: &Path, text: &str) -> bool {
    let Ok(old) = read_text(path) else {
        return false;
    };
    match text.trim_start().chars().next() {
        _ if old == text => true,
        Some('<') => old.contains(MARK) && root(&old) == root(text),
        Some('{') => old.contains(KEY),
        _ => opening(&old) == opening(text),
    }
}

/// Name of the first element.
fn root(text: &str) -> String {
    let name = text.trim_start().trim_start_matches(['<', '!']);
    let end = name.find(|c: char| !c.is_ascii_alphabetic());
    name[..end.unwrap_or(name.len())].to_lowercase()
}

/// First line up to its first figure.
fn opening(text: &str) -> &str {
    let line = text.lines().next().unwrap_or_default();
    let end = line.find(|c: char| c.is_ascii_digit());
    line[..end.unwrap_or(line.len())].trim_end()
}
