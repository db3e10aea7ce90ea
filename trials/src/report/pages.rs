//! The whole report: two pages, the same content as Markdown, and the figures.

use super::document::{Document, body, markdown};
use super::figures::{self, Figure};
use super::page::report_page;
use super::{Findings, main_part, members};
use crate::Error;

/// The texts of a report.
#[derive(Debug, Clone, PartialEq)]
pub struct Pages {
    /// `report.html`.
    pub report: String,
    /// `members.html`.
    pub members: String,
    /// `report.md`: what `report.html` says, for whoever writes on.
    pub markdown: String,
    /// The figures, each to be a file of its own.
    pub figures: Vec<Figure>,
}

/// Makes the pages of a judged trial.
///
/// # Errors
/// A treatment in the layout that the protocol does not know, or a figure that cannot be drawn.
pub fn pages(findings: &Findings<'_>) -> Result<Pages, Error> {
    let figures = figures::all(findings)?;
    let members = members::members(findings, &figures);
    Ok(pages_of(&main_part::report(findings), members, figures))
}

/// The pages of a report that is put together.
pub(super) fn pages_of(report: &Document, members: String, figures: Vec<Figure>) -> Pages {
    Pages {
        report: report_page(&report.title, "report", &body(report, &figures)),
        markdown: markdown(report, &figures),
        members,
        figures,
    }
}
