//! Words laid out in lines: parts a blank line apart, columns as wide as their widest cell, colour where it tells.

use anstyle::{AnsiColor, Style};

use crate::commands::{Line, Part, Side, Span, Status, Table, Words};
use crate::text::names::visible;

/// Errors and what needs mending.
pub(super) const BAD: Style = AnsiColor::Red.on_default().bold();
/// Warnings and what needs a look.
pub(super) const DOUBTFUL: Style = AnsiColor::Yellow.on_default().bold();
/// What is in order.
pub(super) const GOOD: Style = AnsiColor::Green.on_default().bold();

/// The words as a text that ends with its last line.
pub(super) fn typeset(words: &Words) -> String {
    let parts: Vec<String> = words.parts.iter().map(part).collect();
    parts.join("\n")
}

fn part(part: &Part) -> String {
    match part {
        Part::Paragraph(lines) => lines.iter().map(|l| sentence(l) + "\n").collect(),
        Part::Section { heading, lines } => {
            let below = lines.iter().map(|l| format!("  {}\n", sentence(l)));
            std::iter::once(format!("{}\n", visible(heading)))
                .chain(below)
                .collect()
        }
        Part::Table(table) => rows(table),
        Part::AsWritten(text) => visible(text).into_owned(),
    }
}

fn sentence(line: &Line) -> String {
    line.spans.iter().map(styled).collect()
}

/// A text in the colour of what it tells.
fn styled(span: &Span) -> String {
    let text = visible(&span.text);
    let style = match span.status {
        None => return text.into_owned(),
        Some(Status::Good) => GOOD,
        Some(Status::Doubtful) => DOUBTFUL,
        Some(Status::Bad) => BAD,
    };
    format!("{style}{text}{style:#}")
}

/// What stands between two columns.
const BETWEEN: &str = "  ";

fn rows(table: &Table) -> String {
    let heads = table.columns.iter().map(|c| Span::from(c.head.as_str()));
    let heads: Vec<Span> = heads.collect();
    let headed = heads.iter().any(|h| !h.text.is_empty());
    let lines = headed.then_some(&heads).into_iter().chain(&table.rows);
    let wide = |at: usize| {
        let cells = lines.clone().filter_map(|row| row.get(at));
        cells.map(wide_of).max().unwrap_or(0)
    };
    let widths: Vec<usize> = (0..table.columns.len()).map(wide).collect();
    let mut text = match &table.caption {
        Some(caption) => format!("{}\n", visible(caption)),
        None => String::new(),
    };
    for row in lines {
        let columns = table.columns.iter().zip(&widths);
        let cells = row.iter().zip(columns);
        let cells = cells.map(|(span, (column, wide))| cell(span, column.side, *wide));
        let line = cells.collect::<Vec<_>>().join(BETWEEN);
        text.push_str(line.trim_end());
        text.push('\n');
    }
    text
}

/// Width of a cell's text, characters.
fn wide_of(span: &Span) -> usize {
    visible(&span.text).chars().count()
}

/// A cell with the blanks that bring it to its column's width.
fn cell(span: &Span, side: Side, wide: usize) -> String {
    let blanks = " ".repeat(wide.saturating_sub(wide_of(span)));
    let text = styled(span);
    match side {
        Side::Left => text + &blanks,
        Side::Right => blanks + &text,
    }
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
        let plain = anstream::adapter::strip_str(&typeset(&words)).to_string();
        assert_eq!(
            plain,
            "Laid out: 12 plots.\nSeed 7.\n\ndid it last?\n  Yes.\n  For a week.\n\n1,2\n"
        );
    }

    #[test]
    fn a_long_name_widens_its_column_and_numbers_stand_on_the_right() {
        let mut table = Table::new([
            ("block", Side::Left),
            ("x (m)", Side::Right),
            ("", Side::Left),
        ]);
        table.row(["practice-green 1", "2.50", "wet"]);
        table.row(["B", "10.25", ""]);
        assert_eq!(
            rows(&table.captioned("plots")),
            "plots\nblock             x (m)\npractice-green 1   2.50  wet\nB                 10.25\n"
        );
    }

    #[test]
    fn colour_does_not_count_as_width() {
        let mut table = Table::new([("", Side::Left), ("", Side::Right)]);
        table.row([Span::told(Status::Good, "mean"), "9.5".into()]);
        table.row([Span::told(Status::Bad, "k"), "1.74".into()]);
        let plain = anstream::adapter::strip_str(&rows(&table)).to_string();
        assert_eq!(plain, "mean   9.5\nk     1.74\n");
    }
}
