//! Words laid out in lines: parts a blank line apart, sentences folded, colour where it tells.

use anstyle::{AnsiColor, Style};

use super::fold::{fold, wide};
use super::laid_out::rows;
use crate::commands::{Line, Part, Status, Words};
use crate::text::names::visible;

/// Errors and what needs mending.
pub(super) const BAD: Style = AnsiColor::Red.on_default().bold();
/// Warnings and what needs a look.
pub(super) const DOUBTFUL: Style = AnsiColor::Yellow.on_default().bold();
/// What is in order.
pub(super) const GOOD: Style = AnsiColor::Green.on_default().bold();

/// The words as a text that ends with its last line, in lines of at most `room` characters where there is an end to them.
pub(super) fn typeset(words: &Words, room: Option<usize>) -> String {
    let parts: Vec<String> = words.parts.iter().map(|p| part(p, room)).collect();
    parts.join("\n")
}

fn part(part: &Part, room: Option<usize>) -> String {
    match part {
        Part::Paragraph(lines) => lines.iter().map(|l| sentence(l, "", room)).collect(),
        Part::Section { heading, lines } => {
            let below = lines.iter().map(|l| sentence(l, "  ", room));
            std::iter::once(sentence(&Line::from(heading.as_str()), "", room))
                .chain(below)
                .collect()
        }
        Part::Table(table) => rows(table, room),
        Part::AsWritten(text) => visible(text).into_owned(),
    }
}

/// A sentence behind its indent, which its further lines have too.
fn sentence(line: &Line, indent: &str, room: Option<usize>) -> String {
    let mut letters: Vec<(char, Option<Status>)> = Vec::new();
    for span in &line.spans {
        letters.extend(visible(&span.text).chars().map(|c| (c, span.status)));
    }
    let bare: String = letters.iter().map(|(c, _)| c).collect();
    let pieces = match room {
        Some(room) => fold(&bare, room.saturating_sub(wide(indent)).max(1)),
        None => vec![bare],
    };
    let mut text = String::new();
    let mut rest = letters.as_slice();
    for piece in pieces {
        let (now, later) = rest.split_at(wide(&piece).min(rest.len()));
        // The space at which the line was broken goes with the break.
        rest = later.get(1..).unwrap_or_default();
        text.push_str(indent);
        for run in now.chunk_by(|a, b| a.1 == b.1) {
            let letters: String = run.iter().map(|(c, _)| c).collect();
            text.push_str(&styled(&letters, run.first().and_then(|r| r.1)));
        }
        text.push('\n');
    }
    text
}

/// A text in the colour of what it tells.
pub(super) fn styled(text: &str, status: Option<Status>) -> String {
    let style = match status {
        None => return text.to_owned(),
        Some(Status::Good) => GOOD,
        Some(Status::Doubtful) => DOUBTFUL,
        Some(Status::Bad) => BAD,
    };
    format!("{style}{text}{style:#}")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn parts_stand_a_blank_line_apart_and_headings_on_their_sentences() {
        let mut words = Words::default();
        words.told(Status::Good, "Laid out", ": 12 plots.");
        words.line("Seed 7.");
        words.section("did it last?", ["Yes.", "For a week."]);
        words.section("nothing to say", Vec::<String>::new());
        words.as_written("1,2\n");
        let plain = anstream::adapter::strip_str(&typeset(&words, None)).to_string();
        assert_eq!(
            plain,
            "Laid out: 12 plots.\nSeed 7.\n\ndid it last?\n  Yes.\n  For a week.\n\n1,2\n"
        );
    }

    #[test]
    fn a_sentence_is_folded_and_keeps_its_colour() {
        let mut words = Words::default();
        words.told(Status::Good, "It beat the control", ": 82 % fewer.");
        words.section("sure?", ["Whichever plot is left out."]);
        let folded = typeset(&words, Some(16));
        assert!(folded.starts_with(&format!(
            "{GOOD}It beat the{GOOD:#}\n{GOOD}control{GOOD:#}: 82 %\n"
        )));
        let plain = anstream::adapter::strip_str(&folded).to_string();
        assert_eq!(
            plain,
            "It beat the\ncontrol: 82 %\nfewer.\n\nsure?\n  Whichever plot\n  is left out.\n"
        );
    }
}
