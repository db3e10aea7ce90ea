//! A report as the body of a page.

use maud::{Markup, PreEscaped, html};

use super::{Document, Part, Role, Section, Side, Span, Table, Text};
use crate::report::figures::Figure;

/// Letters from which on a title is set smaller.
const LONG_TITLE: usize = 120;
/// Lines of numbers that a figure shows to be copied: those of a thousand plots would weigh as much as all else.
const TO_COPY: usize = 400;
/// Name of the list of contents within the page.
const CONTENTS: &str = "contents";

/// The body of the page: title, verdicts, contents, all else.
pub(in crate::report) fn body(document: &Document, figures: &[Figure]) -> Markup {
    let verdicts = document
        .sections
        .iter()
        .take_while(|s| s.role == Role::Verdict);
    let rest = &document.sections[verdicts.clone().count()..];
    let long = document.title.chars().count() > LONG_TITLE;
    html! {
        a.skip href="#main" { "Skip to the verdict" }
        header { h1 class=[long.then_some("long")] { (document.title) } @if !document.lead.is_empty() { p.lead { (document.lead) } } }
        main id="main" tabindex="-1" {
            @for (i, verdict) in verdicts.enumerate() { (verdict_shown(verdict, i + 1, figures)) }
            nav id=(CONTENTS) aria-labelledby="contents-heading" {
                h2 id="contents-heading" { "Contents" }
                (contents(rest))
            }
            @for section in rest { (shown(section, 2, figures)) }
        }
        footer { p { (document.footer) } }
    }
}

/// A verdict, which is found by its heading.
fn verdict_shown(verdict: &Section, number: usize, figures: &[Figure]) -> Markup {
    let id = format!("verdict-{number}");
    html! {
        section.verdict aria-labelledby=(id) {
            h2 id=(id) { (verdict.heading) }
            @for part in &verdict.parts { (part_shown(part, figures)) }
        }
    }
}

/// Headings as links, those within indented.
fn contents(sections: &[Section]) -> Markup {
    html! {
        ol {
            @for section in sections {
                li {
                    a href={ "#" (section.id) } { (section.heading) }
                    @if !section.within.is_empty() { (contents(&section.within)) }
                }
            }
        }
    }
}

fn shown(section: &Section, level: usize, figures: &[Figure]) -> Markup {
    let class = match section.role {
        Role::Plain | Role::Verdict => None,
        Role::Caution => Some("caution"),
        Role::Appendix => Some("appendix"),
    };
    html! {
        section id=(section.id) class=[class] {
            @if level == 2 { h2 { (section.heading) } } @else { h3 { (section.heading) } }
            @for part in &section.parts { (part_shown(part, figures)) }
            @if level == 2 { p.back { a href={ "#" (CONTENTS) } { "Back to the contents" } } }
            @for inner in &section.within { (shown(inner, level + 1, figures)) }
        }
    }
}

fn part_shown(part: &Part, figures: &[Figure]) -> Markup {
    html! {
        @match part {
            Part::Paragraph(text) => p { (spans(text)) },
            Part::List(entries) => ul { @for entry in entries { li { (spans(entry)) } } },
            Part::Table(told) => (table_shown(told)),
            Part::Facts(facts) => dl.facts { @for (name, value) in facts { div { dt { (name) } dd { (value) } } } },
            Part::Record(rows) => dl.record { @for (name, value) in rows { dt { (name) } dd { (spans(value)) } } },
            Part::Figure(name) => { @for figure in figures.iter().filter(|f| f.is_called(name)) { (figure_shown(figure, name)) } },
            Part::AsTyped(text) => pre tabindex="0" { code { (text) } },
        }
    }
}

fn spans(text: &Text) -> Markup {
    html! {
        @for span in &text.0 {
            @match span {
                Span::Words(words) => (words),
                Span::Code(code) => code { (code) },
                Span::Link(id, words) => a href={ "#" (id) } { (words) },
            }
        }
    }
}

/// A figure, what it shows, and its numbers to copy; the same lie beside the page as files.
fn figure_shown(figure: &Figure, class: &str) -> Markup {
    let name = &figure.name;
    html! {
        figure class=(class) {
            (PreEscaped(&figure.svg))
            figcaption {
                (figure.caption)
                span.files { " " a href={ (name) ".svg" } { "Picture" } ", " a href=(figure.numbers_file()) { "numbers" } " (files beside this page)." }
                @if let Some(csv) = to_copy(figure) {
                    details { summary { "Numbers of this figure, to copy" } pre tabindex="0" { (csv) } }
                }
            }
        }
    }
}

/// The numbers of a figure, where they are few enough to be copied from a page; all are in the file beside it.
fn to_copy(figure: &Figure) -> Option<String> {
    let few = figure.data.rows.len() <= TO_COPY;
    few.then(|| figure.data.csv().ok()).flatten()
}

/// A table that scrolls by itself where it is wider than the page.
pub(in crate::report) fn table_shown(told: &Table) -> Markup {
    let class = |i: usize| match told.columns.get(i) {
        Some((_, Side::Left)) => Some("words"),
        _ => None,
    };
    html! {
        div.wide tabindex="0" role="region" aria-label=(told.caption) {
            table {
                caption { (told.caption) }
                thead { tr { @for (i, (head, _)) in told.columns.iter().enumerate() { th scope="col" class=[class(i)] { (head) } } } }
                tbody {
                    @for row in &told.rows {
                        tr {
                            @for (i, cell) in row.iter().enumerate() {
                                @if i == 0 { th scope="row" class=[class(i)] { (cell) } } @else { td class=[class(i)] { (cell) } }
                            }
                        }
                    }
                }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::Table;
    use super::table_shown;
    use crate::report::page::Column::{Figures, Words};

    #[test]
    fn columns_of_words_stand_left_and_figures_right() {
        let rows = [
            ["A", "sheet, \u{2013}", "64 % fewer"],
            ["B", "3 plots", "\u{2013}"],
        ];
        let rows = rows.iter().map(|row| row.map(str::to_owned).to_vec());
        let columns = [Words("name"), Words("what"), Figures("change")];
        let page = table_shown(&Table::new("t", &columns, rows.collect())).into_string();
        for part in [
            "<th scope=\"col\" class=\"words\">what</th>",
            "<td class=\"words\">3 plots</td>",
            "<th scope=\"col\">change</th>",
            "<td>64 % fewer</td>",
        ] {
            assert!(page.contains(part), "{part} in {page}");
        }
    }
}
