//! The shell of a page: one file, style inside, nothing fetched.

use maud::{DOCTYPE, Markup, PreEscaped, html};

use super::figures::Figure;

/// Style of every page, for screen and A4.
const STYLE: &str = include_str!("page.css");

/// A whole page.
pub(super) fn page(title: &str, class: &str, body: &Markup) -> String {
    html! {
        (DOCTYPE)
        html lang="en-GB" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                meta name="generator" content={ "halfgreen " (env!("CARGO_PKG_VERSION")) };
                title { (title) }
                style { (PreEscaped(STYLE)) }
            }
            body class=(class) { (body) }
        }
    }
    .into_string()
    // A number and its per cent sign stay on one line.
    .replace(" %", "\u{a0}%")
}

/// A figure with its caption; nothing where there is no figure of that name.
pub(super) fn figure(figures: &[Figure], name: &str) -> Markup {
    html! {
        @for figure in figures.iter().filter(|f| f.name.split('-').next() == Some(name)) {
            figure class=(name) {
                (PreEscaped(&figure.svg))
                figcaption { (figure.caption) }
            }
        }
    }
}

/// A table that scrolls by itself where it is wider than the page. The first cell of a row heads it.
pub(super) fn table(caption: &str, heads: &[String], rows: &[Vec<String>]) -> Markup {
    html! {
        div.wide tabindex="0" role="region" aria-label=(caption) {
            table {
                caption { (caption) }
                thead { tr { @for head in heads { th scope="col" { (head) } } } }
                tbody {
                    @for row in rows {
                        tr {
                            @for (i, cell) in row.iter().enumerate() {
                                @if i == 0 { th scope="row" { (cell) } } @else { td { (cell) } }
                            }
                        }
                    }
                }
            }
        }
    }
}

/// Texts as the heads of a table.
pub(super) fn heads(names: &[&str]) -> Vec<String> {
    names.iter().map(|n| (*n).to_owned()).collect()
}
