//! Which columns of a trial's tables are read, for whoever wants to know that nothing was let by.

use super::events::{self, without_comments};
use super::readings;
use crate::count_rules::rules;
use crate::table::RawTable;

/// The tables of a trial.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum TrialTable {
    /// `counts.csv`.
    Counts,
    /// `counts.csv` where readings are taken.
    Readings,
    /// `events.csv`.
    Events,
}

/// Headings of a trial's table that are read, and those that are not, as they are written.
#[must_use]
pub fn headings(of: TrialTable, file: &str, text: &str) -> [Vec<String>; 2] {
    let known: Vec<&str> = match of {
        TrialTable::Counts => rules().names(),
        TrialTable::Readings => readings::COLUMNS.to_vec(),
        TrialTable::Events => events::COLUMNS.to_vec(),
    };
    let text = match of {
        TrialTable::Events => without_comments(text),
        TrialTable::Counts | TrialTable::Readings => text.into(),
    };
    let Ok(table) = RawTable::read(file, &text) else {
        return [Vec::new(), Vec::new()];
    };
    let all = table.header.into_iter().map(|cell| cell.text);
    let (read, unread) = all
        .filter(|name| !name.is_empty())
        .partition(|name| known.contains(&name.to_lowercase().as_str()));
    [read, unread]
}
