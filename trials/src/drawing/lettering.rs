//! Lettering and how much room it takes: the width of a line, and words broken or cut to fit.
//!
//! A picture is drawn before anyone knows where it will be read, so its lettering is measured by the
//! widths of the one family that it asks for; every system has that family or one of the same widths.

use super::widths::{
    ASCII, BOLD_ASCII, BOLD_LATIN, LATIN, REGULAR_ASCII, REGULAR_LATIN, SIGNS, UNITS,
};

/// The family of every picture: faces of equal widths, then whatever there is.
pub const FAMILY: &str = "Arial, Helvetica, 'Liberation Sans', sans-serif";

/// What stands for the rest of a line that was cut.
const REST: &str = "…";

/// How heavy letters are.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Weight {
    /// As in running text.
    Regular,
    /// As in headings.
    Bold,
}

/// Width of a line of the given size, in the unit of the size.
///
/// A character whose width is not kept counts as a whole size, which is more than most scripts need.
///
/// ```
/// use halfgreen::drawing::{Weight, width};
///
/// // Adobe's metrics of Helvetica, in thousandths: 1 is 556, 0 is 556, m is 833.
/// assert!((width("10 m", 1000.0, Weight::Regular) - (556.0 + 556.0 + 278.0 + 833.0)).abs() < 1.0);
/// ```
#[must_use]
pub fn width(line: &str, size: f64, weight: Weight) -> f64 {
    let units: u32 = line.chars().map(|c| advance(c, weight)).sum();
    f64::from(units) * size / UNITS
}

fn advance(c: char, weight: Weight) -> u32 {
    let (ascii, latin) = match weight {
        Weight::Regular => (&REGULAR_ASCII, &REGULAR_LATIN),
        Weight::Bold => (&BOLD_ASCII, &BOLD_LATIN),
    };
    let of = |run: &[u16], first: char| run.get(c as usize - first as usize).copied();
    let known = if (ASCII.0..=ASCII.1).contains(&c) {
        of(ascii, ASCII.0)
    } else if (LATIN.0..=LATIN.1).contains(&c) {
        of(latin, LATIN.0)
    } else {
        let sign = SIGNS.iter().find(|s| s.0 == c);
        sign.map(|s| if weight == Weight::Bold { s.2 } else { s.1 })
    };
    known.map_or(2048, u32::from)
}

/// The largest size, at most `largest`, at which a line is no wider than `room`.
pub(crate) fn fitting(line: &str, room: f64, largest: f64, weight: Weight) -> f64 {
    let wide = width(line, 1.0, weight);
    if wide * largest <= room {
        largest
    } else {
        room / wide
    }
}

/// The line itself, or as much of it as fits with a sign that more follows.
pub(crate) fn cut(line: &str, room: f64, size: f64, weight: Weight) -> String {
    if width(line, size, weight) <= room {
        return line.to_owned();
    }
    let mut kept = String::new();
    for c in line.chars() {
        kept.push(c);
        if width(&kept, size, weight) + width(REST, size, weight) > room {
            kept.pop();
            break;
        }
    }
    format!("{}{REST}", kept.trim_end())
}

/// The same with its last word kept where that takes no more than half the room: names that differ in it, such as in a
/// year, are told apart.
pub(crate) fn cut_before_last_word(line: &str, room: f64, size: f64, weight: Weight) -> String {
    let Some((start, last)) = line.trim_end().rsplit_once(' ') else {
        return cut(line, room, size, weight);
    };
    let last = format!(" {last}");
    let taken = width(&last, size, weight);
    if width(line, size, weight) <= room || 2.0 * taken > room {
        return cut(line, room, size, weight);
    }
    format!("{}{last}", cut(start, room - taken, size, weight))
}

/// The text on at most `most` lines no wider than `room`, broken between words; a word too long for a line and
/// what is left after the last line are cut with a sign of it.
pub(crate) fn wrap(text: &str, room: f64, size: f64, weight: Weight, most: usize) -> Vec<String> {
    let mut lines: Vec<String> = vec![String::new()];
    let mut words = text.split_whitespace().peekable();
    while let Some(word) = words.peek() {
        let full = lines.len() >= most;
        let Some(line) = lines.last_mut() else { break };
        let longer = if line.is_empty() {
            (*word).to_owned()
        } else {
            format!("{line} {word}")
        };
        if line.is_empty() || width(&longer, size, weight) <= room {
            *line = longer;
            words.next();
        } else if full {
            // The rest is joined so that the cut below marks it.
            let rest: Vec<&str> = words.collect();
            *line = format!("{line} {}", rest.join(" "));
            break;
        } else {
            lines.push(String::new());
        }
    }
    for line in &mut lines {
        *line = cut(line, room, size, weight);
    }
    lines
}

/// How many lines [`wrap`] needs when it may use as many as it likes, and whether every word fits on a line.
pub(crate) fn lines_needed(text: &str, room: f64, size: f64, weight: Weight) -> (usize, bool) {
    let whole = text
        .split_whitespace()
        .all(|word| width(word, size, weight) <= room);
    (wrap(text, room, size, weight, usize::MAX).len(), whole)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Adobe's metrics of Helvetica and Helvetica-Bold (Core 14 AFM files), thousandths, written from memory.
    #[test]
    fn widths_are_those_of_helvetica() {
        let upright = [
            (" ", 278.0),
            ("A", 667.0),
            ("W", 944.0),
            ("i", 222.0),
            ("–", 556.0),
        ];
        for (c, expected) in upright {
            assert!(
                (width(c, 1000.0, Weight::Regular) - expected).abs() < 0.5,
                "{c}"
            );
        }
        for (c, expected) in [("A", 722.0), ("i", 278.0), ("m", 889.0)] {
            assert!(
                (width(c, 1000.0, Weight::Bold) - expected).abs() < 0.5,
                "{c}"
            );
        }
        assert_eq!(
            width("é", 10.0, Weight::Regular),
            width("e", 10.0, Weight::Regular)
        );
        assert_eq!(width("草", 10.0, Weight::Bold), 10.0);
    }

    #[test]
    fn lines_keep_within_their_room() {
        let text = "covered overnight with woven black sheeting unbelievablylongwordwithoutend";
        for room in [30.0, 60.0, 100.0, 300.0] {
            for most in 1..5 {
                let lines = wrap(text, room, 12.0, Weight::Regular, most);
                assert!(lines.len() <= most);
                for line in &lines {
                    assert!(width(line, 12.0, Weight::Regular) <= room, "{line}");
                }
            }
        }
        assert_eq!(
            wrap("covered overnight", 60.0, 12.0, Weight::Regular, 2),
            ["covered", "overnight"]
        );
        assert_eq!(wrap("a b c", 60.0, 12.0, Weight::Regular, 1), ["a b c"]);
        assert_eq!(
            wrap("one two three four", 30.0, 12.0, Weight::Regular, 2),
            ["one", "tw…"]
        );
        assert_eq!(cut("uncovered", 30.0, 12.0, Weight::Regular), "un…");
        let kept = |line, room| cut_before_last_word(line, room, 12.0, Weight::Regular);
        assert_eq!(kept("Jackdaw Common 2026", 80.0), "Jackd… 2026");
        assert_eq!(kept("Jackdaw Common 2026", 200.0), "Jackdaw Common 2026");
        assert_eq!(kept("uncovered", 30.0), "un…");
        assert_eq!(kept("an uncoverable", 60.0), "an unco…");
    }

    #[test]
    fn a_long_line_is_set_smaller() {
        let size = fitting("a line that is rather long", 50.0, 12.0, Weight::Bold);
        assert!(size < 12.0);
        assert!((width("a line that is rather long", size, Weight::Bold) - 50.0).abs() < 1e-9);
        assert_eq!(fitting("short", 50.0, 12.0, Weight::Bold), 12.0);
    }
}
