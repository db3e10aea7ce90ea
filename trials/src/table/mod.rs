//! The text of any table, cell by cell, and what is wrong with it, each complaint with its line and column.
//!
//! In: the text of a file as people and spreadsheets leave it, with its name for complaints. Out: a
//! [`RawTable`], whose cells remember where they stand, or every [`Problem`] found. Outlines, layouts,
//! counts and readings all come in through here.
//!
//! Columns are counted in cells, from 1, as a spreadsheet shows them; lines from 1, the header being
//! line 1. Separators `,`, `;` and tab are told apart by the header; where it is `;` or tab, a comma
//! inside a number is its decimal sign. Quotation follows RFC 4180; LF and CRLF end lines; a byte-order
//! mark is tolerated. A workbook becomes such a text first ([`workbook_text`]), whose lines and cells are its rows and columns.
//!
//! What a cell means is for the rooms that ask: an outline's corner, a count, a plot.

mod blocks;
mod cells;
mod doubts;
mod numbers;
mod problem;
mod problems;
mod reading;
mod size;
mod workbook;

#[cfg(feature = "archive")]
pub(crate) use blocks::Halves;
pub(crate) use blocks::{LineCells, each_line, separator_of};
pub use cells::{Cell, RawTable};
pub use problem::{Cause, Complaint, Problem, Rule, Severity};
pub(crate) use problem::{errors, worst_first};
pub(crate) use problems::Problems;
pub use workbook::{is_workbook, workbook_text};
