//! The shell of a page: one file, style inside, nothing fetched.

use maud::{DOCTYPE, Markup, PreEscaped, html};

use super::figures::Figure;
use crate::text::rounding::NONE;

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

/// Whether a cell holds a figure, or what stands for one.
fn is_figure(cell: &str) -> bool {
    let stands = [NONE, "", "no limit", "no change"];
    let signs = ['-', '+', '\u{2212}', '<', '(', '.'];
    let bare = ["under ", "over "]
        .iter()
        .find_map(|w| cell.strip_prefix(w));
    let bare = bare.unwrap_or(cell).trim_start_matches(signs);
    stands.contains(&cell) || bare.starts_with(|c: char| c.is_ascii_digit())
}

/// A table that scrolls by itself where it is wider than the page. The first cell of a row heads it. Columns of
/// figures stand to the right, columns of words to the left.
pub(super) fn table(caption: &str, heads: &[String], rows: &[Vec<String>]) -> Markup {
    let words: Vec<Option<&str>> = (0..heads.len())
        .map(|i| {
            rows.iter()
                .filter_map(|row| row.get(i))
                .any(|c| !is_figure(c))
        })
        .map(|text| text.then_some("words"))
        .collect();
    let class = |i: usize| words.get(i).copied().flatten();
    html! {
        div.wide tabindex="0" role="region" aria-label=(caption) {
            table {
                caption { (caption) }
                thead { tr { @for (i, head) in heads.iter().enumerate() { th scope="col" class=[class(i)] { (head) } } } }
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

/// Texts as the heads of a table.
pub(super) fn heads(names: &[&str]) -> Vec<String> {
    names.iter().map(|n| (*n).to_owned()).collect()
}

#[cfg(test)]
mod tests {
    use super::{heads, table};

    #[test]
    fn columns_of_words_stand_left_and_figures_right() {
        let rows = [
            ["A", "sheet, \u{2013}", "64 % fewer", "-1.5"],
            ["B", "3 plots", "under 1 %", "\u{2013}"],
        ];
        let rows = rows.map(|row| heads(&row)).to_vec();
        let page = table("t", &heads(&["name", "what", "change", "figure"]), &rows).into_string();
        assert!(
            page.contains("<th scope=\"col\" class=\"words\">what</th>"),
            "{page}"
        );
        assert!(page.contains("<td class=\"words\">3 plots</td>"), "{page}");
        assert!(page.contains("<th scope=\"col\">change</th>"), "{page}");
        assert!(page.contains("<td>-1.5</td>"), "{page}");
    }
}
