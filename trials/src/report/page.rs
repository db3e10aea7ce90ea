//! Pages of a report and what several of them show alike.

use maud::{Markup, PreEscaped, html};

use super::document::{Table, table_shown};
use super::figures::Figure;
use crate::text::page::page as shell;

/// Style of every page, for screen and A4.
const STYLE: &str = include_str!("page.css");
/// What the full report has beside it: contents, colours of the dark, more on paper.
const REPORT: &str = include_str!("report.css");

/// A whole page.
pub(super) fn page(title: &str, class: &str, body: &Markup) -> String {
    shell(title, &[STYLE], Some(class), body)
}

/// The page of a full report; of class "alone" where no list of contents stands beside it.
pub(super) fn report_page(title: &str, class: &str, body: &Markup) -> String {
    shell(title, &[STYLE, REPORT], Some(class), body)
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

/// A table that scrolls by itself where it is wider than the page. The first cell of a row heads it.
pub(super) fn table(caption: &str, columns: &[Column<'_>], rows: &[Vec<String>]) -> Markup {
    table_shown(&Table::new(caption, columns, rows.to_vec()))
}

/// The head of a column, and what stands under it.
#[derive(Debug, Clone, Copy)]
pub(super) enum Column<'a> {
    /// Words, to the left.
    Words(&'a str),
    /// Figures, to the right.
    Figures(&'a str),
}
