//! The whole report: two pages and their figures.

use super::figures::{self, Figure};
use super::{Findings, main_part, members};
use crate::Error;

/// The texts of a report.
#[derive(Debug, Clone, PartialEq)]
pub struct Pages {
    /// `report.html`.
    pub report: String,
    /// `members.html`.
    pub members: String,
    /// The figures, each to be a file of its own.
    pub figures: Vec<Figure>,
}

/// Makes the pages of a judged trial.
///
/// # Errors
/// A treatment in the layout that the protocol does not know, or a figure that cannot be drawn.
pub fn pages(findings: &Findings<'_>) -> Result<Pages, Error> {
    let figures = figures::all(findings)?;
    Ok(Pages {
        report: main_part::report(findings, &figures),
        members: members::members(findings, &figures),
        figures,
    })
}
