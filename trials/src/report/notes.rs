//! Notes of people in tables: as much as a cell has room for.

use crate::text::shortened::{REST, is_longer, shortened};

/// Characters of a note that a cell has room for: five lines of a broad column.
const NOTE: usize = 300;

/// Characters before the first difference of two long texts that are shown to find the place.
const BEFORE: usize = 40;

/// A note as a cell shows it.
pub(super) fn in_a_cell(note: &str) -> String {
    shortened(note, NOTE).into_owned()
}

/// Whether a cell has less than the whole note.
pub(super) fn is_cut(note: &str) -> bool {
    is_longer(note, NOTE)
}

/// What tells where the rest of cut notes stands; nothing where none was cut.
pub(super) fn rest<'a>(mut notes: impl Iterator<Item = &'a str>, file: &str) -> Option<String> {
    notes
        .any(is_cut)
        .then(|| format!("A note that ends in “…” is longer than its cell: {file} has all of it."))
}

/// Two lines that differ, each from shortly before the first difference where they are long.
pub(super) fn both(sealed: &str, now: &str) -> [String; 2] {
    if !is_cut(sealed) && !is_cut(now) {
        return [sealed, now].map(str::to_owned);
    }
    let alike = sealed.chars().zip(now.chars()).take_while(|(a, b)| a == b);
    let from = alike.count().saturating_sub(BEFORE);
    [sealed, now].map(|text| {
        let shown: String = text.chars().skip(from).collect();
        let shown = in_a_cell(&shown);
        if from == 0 {
            shown
        } else {
            format!("{REST}{shown}")
        }
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn long_lines_are_shown_from_where_they_differ() {
        assert_eq!(
            both("blocks = 8", "blocks = 9"),
            ["blocks = 8", "blocks = 9"]
        );
        let long = format!("title = {}", "sheet ".repeat(200));
        let [sealed, now] = both(&format!("{long}a"), &format!("{long}b"));
        assert!(
            sealed.starts_with('…') && sealed.ends_with("sheet a"),
            "{sealed}"
        );
        assert!(now.ends_with("sheet b"), "{now}");
    }

    #[test]
    fn what_was_cut_is_told_with_the_file_that_has_it() {
        let long = "wet ".repeat(100);
        assert!(in_a_cell(&long).ends_with('…'));
        let told = rest(["short", long.as_str()].into_iter(), "events.csv");
        assert!(told.is_some_and(|t| t.contains("events.csv has all of it")));
        assert_eq!(rest(["short"].into_iter(), "events.csv"), None);
    }
}
