//! Text in lines that are no wider than there is room for.

/// Characters of a text, each taken for one column wide.
pub(super) fn wide(text: &str) -> usize {
    text.chars().count()
}

/// The text in lines of at most so many characters, broken at spaces; a longer word has a line of its own.
pub(super) fn fold(text: &str, width: usize) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for word in text.split(' ') {
        match lines.last_mut() {
            Some(line) if wide(line) + 1 + wide(word) <= width => {
                line.push(' ');
                line.push_str(word);
            }
            _ => lines.push(word.to_owned()),
        }
    }
    lines
}

/// Characters of the longest word.
pub(super) fn longest_word(text: &str) -> usize {
    text.split(' ').map(wide).max().unwrap_or(0)
}

/// Widths of columns that together take at most `room`, each at least as wide as its longest word; `None` where there is no
/// such. The widest gives way first.
pub(super) fn narrowed(natural: &[usize], least: &[usize], room: usize) -> Option<Vec<usize>> {
    if least.iter().sum::<usize>() > room {
        return None;
    }
    let mut widths = natural.to_vec();
    let mut over = widths.iter().sum::<usize>().saturating_sub(room);
    while over > 0 {
        let give = (0..widths.len())
            .filter(|&at| widths[at] > least[at])
            .max_by_key(|&at| widths[at])?;
        widths[give] -= 1;
        over -= 1;
    }
    Some(widths)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_break_at_spaces_and_hold_whole_words() {
        assert_eq!(
            fold("cover half and leave half", 11),
            ["cover half", "and leave", "half"]
        );
        assert_eq!(
            fold("leatherjackets at dawn", 8),
            ["leatherjackets", "at dawn"]
        );
        // A space that does not break keeps a number in one piece.
        assert_eq!(fold("GBP 1\u{a0}290 more", 9), ["GBP 1\u{a0}290", "more"]);
        assert_eq!(fold("", 8), [""]);
    }

    #[test]
    fn the_widest_column_gives_way_as_far_as_its_longest_word() {
        assert_eq!(
            narrowed(&[4, 30, 10], &[4, 8, 10], 30),
            Some(vec![4, 16, 10])
        );
        assert_eq!(
            narrowed(&[4, 30, 10], &[4, 8, 10], 50),
            Some(vec![4, 30, 10])
        );
        assert_eq!(narrowed(&[4, 30, 10], &[4, 8, 10], 20), None);
    }
}
