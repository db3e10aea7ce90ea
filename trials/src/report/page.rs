//! The shell of a page: one file, style inside, nothing fetched.

use maud::{DOCTYPE, Markup, PreEscaped, html};

use super::figures::Figure;
use crate::text::names::well_formed;

/// Style of every page, for screen and A4.
const STYLE: &str = include_str!("page.css");

/// A whole page.
pub(super) fn page(title: &str, class: &str, body: &Markup) -> String {
    let document = html! {
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
    };
    // A number and its per cent sign stay on one line.
    well_formed(document.into_string().replace(" %", "\u{a0}%"))
}

/// A figure with its caption; nothing where there is no figure of that name.
pub(super) fn figure(figures: &[Figure], name: &str) -> Markup {
    html! { @for figure in called(figures, name) { (shown(figure, name, &figure.caption)) } }
}

/// The same with a caption for other readers.
pub(super) fn captioned(figures: &[Figure], name: &str, caption: &str) -> Markup {
    html! { @for figure in called(figures, name) { (shown(figure, name, caption)) } }
}

fn called<'f>(figures: &'f [Figure], name: &'f str) -> impl Iterator<Item = &'f Figure> {
    figures.iter().filter(move |f| f.is_called(name))
}

fn shown(figure: &Figure, class: &str, caption: &str) -> Markup {
    html! { figure class=(class) { (PreEscaped(&figure.svg)) figcaption { (caption) } } }
}

/// The head of a column, and what stands under it.
#[derive(Debug, Clone, Copy)]
pub(super) enum Column<'a> {
    /// Words, to the left.
    Words(&'a str),
    /// Figures, to the right.
    Figures(&'a str),
}

impl<'a> Column<'a> {
    fn head(self) -> &'a str {
        match self {
            Self::Words(head) | Self::Figures(head) => head,
        }
    }

    /// Class of its cells.
    fn class(self) -> Option<&'static str> {
        match self {
            Self::Words(_) => Some("words"),
            Self::Figures(_) => None,
        }
    }
}

/// A table that scrolls by itself where it is wider than the page. The first cell of a row heads it.
pub(super) fn table(caption: &str, columns: &[Column<'_>], rows: &[Vec<String>]) -> Markup {
    let class = |i: usize| columns.get(i).and_then(|c| c.class());
    html! {
        div.wide tabindex="0" role="region" aria-label=(caption) {
            table {
                caption { (caption) }
                thead { tr { @for column in columns { th scope="col" class=[column.class()] { (column.head()) } } } }
                tbody {
                    @for row in rows {
                        tr {
                            @for (i, cell) in row.iter().enumerate() {
                                @if i == 0 { th scope="row" { (cell) } } @else { td class=[class(i)] { (cell) } }
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
    use super::Column::{Figures, Words};
    use super::table;

    #[test]
    fn columns_of_words_stand_left_and_figures_right() {
        let rows = [
            ["A", "sheet, \u{2013}", "64 % fewer"],
            ["B", "3 plots", "\u{2013}"],
        ];
        let rows: Vec<Vec<String>> = rows
            .iter()
            .map(|row| row.map(str::to_owned).to_vec())
            .collect();
        let columns = [Words("name"), Words("what"), Figures("change")];
        let page = table("t", &columns, &rows).into_string();
        assert!(
            page.contains("<th scope=\"col\" class=\"words\">what</th>"),
            "{page}"
        );
        assert!(page.contains("<td class=\"words\">3 plots</td>"), "{page}");
        assert!(page.contains("<th scope=\"col\">change</th>"), "{page}");
        assert!(page.contains("<td>64 % fewer</td>"), "{page}");
    }
}
