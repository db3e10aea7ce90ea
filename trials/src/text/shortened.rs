//! A text cut to the room that a page has for it, whatever people wrote.

use std::borrow::Cow;

/// What stands for the rest.
pub(crate) const REST: char = '…';

/// How many characters a cut may go back to end between words.
const BACK: usize = 24;

/// Joins two signs into one picture or letter (The Unicode Standard, section 23.2).
const JOINER: char = '\u{200d}';

/// The text itself, or at most so many of its characters and a sign that more follows. It is cut between words where one
/// ends near by, and never within the signs of one picture or letter.
pub(crate) fn shortened(text: &str, most: usize) -> Cow<'_, str> {
    let Some((end, next)) = text.char_indices().nth(most) else {
        return Cow::Borrowed(text);
    };
    let near = || text[..end].char_indices().rev().take(BACK);
    let end = if next.is_whitespace() {
        end
    } else {
        let space = near().find(|(_, c)| c.is_whitespace());
        space.map_or_else(|| whole_sign(text, end), |(at, _)| at)
    };
    Cow::Owned(format!("{}{REST}", text[..end].trim_end()))
}

/// Whether a text is longer than there is room for.
pub(crate) fn is_longer(text: &str, most: usize) -> bool {
    text.chars().nth(most).is_some()
}

/// The nearest place at or before `end` that does not part a sign from what is joined to it.
fn whole_sign(text: &str, end: usize) -> usize {
    let places = text[..end].char_indices().rev();
    let mut end = end;
    for (at, before) in places {
        let after = text[end..].chars().next();
        if before != JOINER && !after.is_some_and(goes_on) {
            break;
        }
        end = at;
    }
    end
}

/// Whether a sign only changes the one before it: marks that stand above or below letters, forms and colours of
/// pictures, the joiner.
fn goes_on(c: char) -> bool {
    matches!(c, JOINER | '\u{0300}'..='\u{036f}' | '\u{0591}'..='\u{05c7}' | '\u{064b}'..='\u{065f}' | '\u{20d0}'..='\u{20ff}'
        | '\u{fe00}'..='\u{fe0f}' | '\u{1f3fb}'..='\u{1f3ff}' | '\u{e0020}'..='\u{e007f}')
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn a_text_with_room_is_left_alone() {
        assert!(matches!(shortened("wet", 3), Cow::Borrowed("wet")));
        assert_eq!(shortened("", 0), "");
        assert!(is_longer("wet", 2) && !is_longer("wet", 3));
    }

    #[test]
    fn a_cut_falls_between_words_or_within_a_long_one() {
        assert_eq!(shortened("many words about sheets", 10), "many words…");
        assert_eq!(shortened("many words about sheets", 12), "many words…");
        assert_eq!(shortened(&"x".repeat(50), 10), "xxxxxxxxxx…");
        let long = format!("a {}", "x".repeat(50));
        assert_eq!(shortened(&long, 40), format!("a {}…", "x".repeat(38)));
    }

    #[test]
    fn a_picture_of_several_signs_is_never_parted() {
        let family = "x\u{1f468}\u{200d}\u{1f469}\u{200d}\u{1f467}";
        for most in 1..5 {
            assert_eq!(shortened(family, most), "x…", "{most}");
        }
        assert_eq!(shortened("e\u{301}e\u{301}e\u{301}", 3), "e\u{301}…");
    }

    proptest! {
        #[test]
        fn what_is_kept_begins_the_text_and_has_room(text in "\\PC{0,80}", most in 1..60_usize) {
            let short = shortened(&text, most);
            prop_assert!(short.chars().count() <= most + 1);
            let kept = short.strip_suffix(REST).unwrap_or(&short);
            prop_assert!(text.starts_with(kept));
            prop_assert_eq!(short == text.as_str(), !is_longer(&text, most) || text.ends_with(REST) && short == text.as_str());
        }
    }
}
