//! A report as Markdown: `CommonMark` with the tables that GitHub, GitLab and pandoc read alike.

use super::{Document, Part, Section, Side, Span, Table, Text};
use crate::report::figures::Figure;
use crate::text::names::well_formed;

/// Widest that a column is made for cells that line up: one of thousands of letters would push every line as far out.
const WIDEST: usize = 40;

/// The whole report. Figures are linked by the names of their files.
pub(in crate::report) fn markdown(document: &Document, figures: &[Figure]) -> String {
    let mut blocks = vec![heading(1, &document.title)];
    if !document.lead.is_empty() {
        blocks.push(plain(&document.lead));
    }
    for section in &document.sections {
        add(section, 2, figures, &mut blocks);
    }
    blocks.push("---".to_owned());
    blocks.push(plain(&document.footer));
    well_formed(blocks.join("\n\n") + "\n")
}

fn add(section: &Section, level: usize, figures: &[Figure], blocks: &mut Vec<String>) {
    blocks.push(heading(level, &section.heading));
    for part in &section.parts {
        match part {
            Part::Paragraph(text) => blocks.push(line(text)),
            Part::List(entries) => {
                let entries = entries.iter().map(|entry| format!("- {}", line(entry)));
                blocks.push(entries.collect::<Vec<_>>().join("\n"));
            }
            Part::Table(told) => blocks.push(table(told)),
            Part::Facts(facts) => {
                let facts = facts.iter();
                let facts =
                    facts.map(|(name, value)| format!("- **{}**: {}", plain(name), plain(value)));
                blocks.push(facts.collect::<Vec<_>>().join("\n"));
            }
            Part::Record(rows) => {
                let rows = rows.iter();
                let rows =
                    rows.map(|(name, value)| format!("- **{}**: {}", plain(name), line(value)));
                blocks.push(rows.collect::<Vec<_>>().join("\n"));
            }
            Part::Figure(name) => {
                let called = figures.iter().filter(|f| f.is_called(name));
                blocks.extend(called.map(figure));
            }
            Part::AsTyped(text) => blocks.push(fenced(text)),
        }
    }
    for inner in &section.within {
        add(inner, level + 1, figures, blocks);
    }
}

fn heading(level: usize, text: &str) -> String {
    format!("{} {}", "#".repeat(level), plain(text))
}

fn figure(figure: &Figure) -> String {
    let caption = plain(&figure.caption);
    format!(
        "![{caption}](<{}.svg>)\n\n*Figure.* {caption} Numbers: [{}](<{}>).",
        address(&figure.name),
        plain(&figure.numbers_file()),
        address(&figure.numbers_file())
    )
}

/// A file's name between angle brackets, where neither they nor line ends may stand.
fn address(name: &str) -> String {
    let signs = name.chars();
    let sign = |c: char| match c {
        '<' | '>' | '\\' | '%' => format!("%{:02X}", c as u32),
        c if c.is_control() => String::new(),
        c => c.to_string(),
    };
    signs.map(sign).collect()
}

/// A table whose columns are lined up for whoever reads it as it stands.
fn table(told: &Table) -> String {
    let head: Vec<String> = told
        .columns
        .iter()
        .map(|(head, _)| cell_text(head))
        .collect();
    let rows: Vec<Vec<String>> = told
        .rows
        .iter()
        .map(|row| row.iter().map(|cell| cell_text(cell)).collect())
        .collect();
    let width = |i: usize| {
        let cells = rows.iter().filter_map(|row| row.get(i));
        let widths = cells.chain(head.get(i)).map(|cell| cell.chars().count());
        widths.max().unwrap_or(0).clamp(3, WIDEST)
    };
    let widths: Vec<usize> = (0..head.len()).map(width).collect();
    let laid = |row: &Vec<String>| {
        let cells = row.iter().zip(&told.columns).zip(&widths);
        let cell = |((cell, (_, side)), &width): ((&String, &(String, Side)), &usize)| match side {
            Side::Left => format!("{cell:<width$}"),
            Side::Right => format!("{cell:>width$}"),
        };
        format!("| {} |", cells.map(cell).collect::<Vec<_>>().join(" | "))
    };
    let rule = told.columns.iter().zip(&widths);
    let rule = rule.map(|((_, side), &width)| match side {
        Side::Left => "-".repeat(width),
        Side::Right => "-".repeat(width - 1) + ":",
    });
    let rule = format!("| {} |", rule.collect::<Vec<_>>().join(" | "));
    let mut lines = vec![
        format!("*Table.* {}", plain(&told.caption)),
        String::new(),
        laid(&head),
        rule,
    ];
    lines.extend(rows.iter().map(laid));
    lines.join("\n")
}

fn line(text: &Text) -> String {
    let spans = text.0.iter().map(|span| match span {
        Span::Code(text) => code(text),
        Span::Words(words) | Span::Link(_, words) => escaped(words),
    });
    at_start(&spans.collect::<String>())
}

/// A cell of a table, where nothing can begin a heading or a list.
fn cell_text(words: &str) -> String {
    escaped(words).trim().to_owned()
}

fn plain(words: &str) -> String {
    at_start(&escaped(words))
}

/// Words on one line in which no sign means anything to a reader of Markdown.
fn escaped(words: &str) -> String {
    let mut out = String::with_capacity(words.len());
    for sign in one_line(words).chars() {
        match sign {
            '\\' | '`' | '*' | '_' | '[' | ']' | '|' | '~' | '$' => out.extend(['\\', sign]),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '&' => out.push_str("&amp;"),
            other => out.push(other),
        }
    }
    // An address would become a link, which is a request when somebody's reader shows what lies behind it.
    out.replace("://", ":&#47;&#47;")
        .replace("www.", "www&#46;")
}

/// A line that begins no heading, list or rule.
fn at_start(line: &str) -> String {
    let line = line.trim();
    let number = line.trim_start_matches(|c: char| c.is_ascii_digit());
    let numbered = number.len() < line.len() && number.starts_with(['.', ')']);
    match line.chars().next() {
        Some('#' | '+' | '-' | '=') => format!("\\{line}"),
        _ if numbered => {
            let (digits, rest) = line.split_at(line.len() - number.len());
            format!("{digits}\\{rest}")
        }
        _ => line.to_owned(),
    }
}

/// Something as it stands in a file, between as many backticks as it needs.
fn code(text: &str) -> String {
    let text = one_line(text).trim().replace('|', "\\|");
    let longest = text.split(|c| c != '`').map(str::len).max().unwrap_or(0);
    let ticks = "`".repeat(longest + 1);
    if longest == 0 {
        format!("{ticks}{text}{ticks}")
    } else {
        format!("{ticks} {text} {ticks}")
    }
}

fn fenced(text: &str) -> String {
    let longest = text.split(|c| c != '`').map(str::len).max().unwrap_or(0);
    let fence = "`".repeat(longest.max(2) + 1);
    format!("{fence}\n{}\n{fence}", text.trim_end())
}

/// A text with one space wherever it has any.
fn one_line(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for sign in text.chars() {
        if !sign.is_whitespace() {
            out.push(sign);
        } else if !out.ends_with(' ') {
            out.push(' ');
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::page::Column::{Figures, Words};

    #[test]
    fn what_people_wrote_stays_text() {
        assert_eq!(
            plain("# 5 * <b>_x_</b> | `y`"),
            "\\# 5 \\* &lt;b&gt;\\_x\\_&lt;/b&gt; \\| \\`y\\`"
        );
        assert_eq!(plain("- a\n\n# b"), "\\- a # b");
        assert_eq!(plain("12. May"), "12\\. May");
        assert_eq!(plain("12 % fewer"), "12 % fewer");
        assert_eq!(
            plain("[x](https://example.org)"),
            "\\[x\\](https:&#47;&#47;example.org)"
        );
        let text = Text::default()
            .words("Stands under ")
            .link("plots", "Plots")
            .words(", and ")
            .code("x")
            .words(".");
        assert_eq!(line(&text), "Stands under Plots, and `x`.");
        assert_eq!(code("a ``b`` |"), "``` a ``b`` \\| ```");
        assert_eq!(fenced("```\nx"), "````\n```\nx\n````");
    }

    #[test]
    fn columns_stand_in_line() {
        let rows = vec![vec!["covered".to_owned(), "3.5".to_owned()]];
        let told = Table::new("Means", &[Words("treatment"), Figures("mean")], rows);
        assert_eq!(
            table(&told),
            "*Table.* Means\n\n| treatment | mean |\n| --------- | ---: |\n| covered   |  3.5 |"
        );
    }
}
