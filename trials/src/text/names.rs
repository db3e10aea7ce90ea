//! What a name may be made of, and how a text is shown that was not looked at before.
//!
//! A name of a treatment, a block, a plot, a zone or a trial comes back in tables, pictures, pages and on the
//! terminal, so that it is looked at once, where it comes in: any letters and signs of any script, at most so many of them, and
//! none that cannot be seen and changes what is seen. Those are
//!
//! - control characters (Unicode category Cc), which move a cursor or end a text, and the line and paragraph separators;
//! - the embeddings, overrides and isolates of Unicode Standard Annex 9, by which a text reads in another order than it
//!   is written;
//! - noncharacters (The Unicode Standard, section 23.7), which XML 1.0, section 2.2, and many readers refuse.
//!
//! Texts that come from elsewhere, such as the name of a file in a complaint, are shown through [`visible`].

use std::borrow::Cow;
use std::fmt::Write;

/// Most characters of a name. It must stand on a plot's label or in a column of a page: common practice, no source.
pub const NAME: usize = 200;

/// Most characters of a text, such as a trial's title or question: four pages of print. Pages show what they have room for and
/// tell where the rest is. Common practice, no source.
pub const SENTENCE: usize = 10_000;

/// Whether a character may stand in a name.
#[must_use]
pub fn may_stand(c: char) -> bool {
    let code = u32::from(c);
    let reorders = matches!(c, '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}');
    let separates = matches!(c, '\u{2028}' | '\u{2029}');
    let none = matches!(c, '\u{fdd0}'..='\u{fdef}') || code & 0xfffe == 0xfffe;
    !(c.is_control() || separates || reorders || none)
}

/// What is wrong with a name, or a sentence, of at most so many characters: what, and what to do.
#[must_use]
pub fn fault(text: &str, most: usize) -> Option<(String, String)> {
    let long = text.chars().count();
    if let Some(c) = text.chars().find(|c| !may_stand(*c)) {
        let at = text.chars().position(|other| other == c).unwrap_or(0) + 1;
        return Some((
            format!(
                "character {at} ({}) cannot be seen and changes how a text is shown",
                number(c)
            ),
            "Type the text anew instead of pasting it.".to_owned(),
        ));
    }
    (long > most).then(|| {
        (
            format!("the text has {long} characters"),
            format!("Shorten it to {most} at most."),
        )
    })
}

/// A text with every character that could not stand in a name given by its number, except ends of lines and tabs.
#[must_use]
pub fn visible(text: &str) -> Cow<'_, str> {
    replaced(text, |c, out| {
        write!(out, "<{}>", number(c)).unwrap_or_default();
    })
}

/// A document in which such characters stand as the sign for a character that cannot be shown, so that XML stays well
/// formed and reads in its own order.
#[must_use]
pub fn well_formed(document: String) -> String {
    match replaced(&document, |_, out| out.push(char::REPLACEMENT_CHARACTER)) {
        Cow::Borrowed(_) => document,
        Cow::Owned(mended) => mended,
    }
}

/// A JSON document in which such characters stand as escapes (RFC 8259, section 7), which mean the same.
#[must_use]
pub fn escaped(json: String) -> String {
    let escape = |c: char, out: &mut String| {
        for unit in c.encode_utf16(&mut [0; 2]) {
            write!(out, "\\u{unit:04x}").unwrap_or_default();
        }
    };
    match replaced(&json, escape) {
        Cow::Borrowed(_) => json,
        Cow::Owned(mended) => mended,
    }
}

/// The text with `instead` of every character that may not stand, ends of lines and tabs aside.
fn replaced(text: &str, instead: impl Fn(char, &mut String)) -> Cow<'_, str> {
    let stays = |c: char| matches!(c, '\n' | '\r' | '\t') || may_stand(c);
    if text.chars().all(stays) {
        return Cow::Borrowed(text);
    }
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        if stays(c) {
            out.push(c);
        } else {
            instead(c, &mut out);
        }
    }
    Cow::Owned(out)
}

/// A character by its number.
fn number(c: char) -> String {
    format!("U+{:04X}", u32::from(c))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_of_any_script_pass_and_what_cannot_be_seen_does_not() {
        for name in [
            "C",
            "6\" deep & <wet>",
            "Überdeckt",
            "被覆",
            "مغطى",
            "\u{1f33f}",
            "می\u{200c}شود",
        ] {
            assert_eq!(fault(name, NAME), None, "{name}");
        }
        for c in [
            '\0',
            '\u{1b}',
            '\u{7f}',
            '\u{9b}',
            '\n',
            '\u{202e}',
            '\u{2066}',
            '\u{2028}',
            '\u{fffe}',
            '\u{fdd0}',
            '\u{10ffff}',
        ] {
            let (what, _) = fault(&format!("ab{c}"), NAME).unwrap();
            assert!(
                what.starts_with(&format!("character 3 ({})", number(c))),
                "{what}"
            );
        }
        assert_eq!(fault(&"ü".repeat(NAME), NAME), None);
        assert!(
            fault(&"ü".repeat(NAME + 1), NAME)
                .unwrap()
                .0
                .contains("201")
        );
    }

    #[test]
    fn what_is_shown_moves_no_cursor() {
        assert_eq!(visible("a\u{1b}[2J\tb\n"), "a<U+001B>[2J\tb\n");
        assert_eq!(
            well_formed("<a>\u{fffe}\0</a>".to_owned()),
            "<a>\u{fffd}\u{fffd}</a>"
        );
        let json = "{\n\"a\":\"\u{9b}\u{1fffe}\"}".to_owned();
        assert_eq!(escaped(json), "{\n\"a\":\"\\u009b\\ud83f\\udffe\"}");
    }
}
