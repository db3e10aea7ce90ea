//! In which forms a report is told.

use serde::{Deserialize, Serialize};

/// A form of the full report.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Format {
    /// Pages for a browser, and to print: `report.html`, `members.html`.
    Html,
    /// A text for an editor: `report.md`.
    Md,
    /// Numbers for programs: `results.json`.
    Json,
    /// `report.pdf`, printed from the page by a browser.
    Pdf,
}

impl Format {
    /// All of them, by the words of a request.
    pub const WORDS: [&'static str; 4] = ["html", "md", "json", "pdf"];
}
