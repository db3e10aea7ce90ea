//! Texts as cells of a table that a spreadsheet may open.
//!
//! A cell that begins with `=`, `+`, `-`, `@`, a tab or a carriage return, or with the wide form of one of the
//! signs, is run as a formula by spreadsheets (CWE-1236). [`written`] puts an apostrophe before such a text, by which spreadsheets
//! know that it is none, and [`read`] takes it away again. Numbers stay numbers.

use std::borrow::Cow;

/// A text as it is written into a cell.
#[must_use]
pub fn written(text: &str) -> Cow<'_, str> {
    if would_run(text.trim_start_matches('\'')) {
        Cow::Owned(format!("'{text}"))
    } else {
        Cow::Borrowed(text)
    }
}

/// A cell as the text that was written into it.
#[must_use]
#[inline]
pub fn read(cell: &str) -> &str {
    match cell.strip_prefix('\'') {
        Some(text) if would_run(text.trim_start_matches('\'')) => text,
        _ => cell,
    }
}

/// Whether a spreadsheet would take a cell with this text for a formula.
pub(crate) fn would_run(text: &str) -> bool {
    let begins = |c| "=+-@\t\r＝＋－＠".contains(c);
    let figures = text
        .chars()
        .all(|c| c.is_ascii_digit() || "+-.eE".contains(c));
    text.starts_with(begins) && !(figures && text.parse::<f64>().is_ok())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_runs_and_everything_comes_back() {
        for text in [
            "=1+1", "+A1", "-A1", "@SUM(A1)", "\t=1", "\r=1", "-inf", "-", "＝1", "'=1", "''=1",
        ] {
            let cell = written(text);
            assert!(cell.starts_with('\''), "{text}");
            assert_eq!(read(&cell), text);
        }
        for text in ["", "C", "-1.5", "+2", "-1e-3", "'tis", "'", "'-5", "a=b"] {
            assert_eq!(written(text), text);
            assert_eq!(read(text), text);
        }
    }
}
