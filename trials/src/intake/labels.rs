//! Names in a column, as levels and codes.

use serde::Serialize;

/// A column of names: the levels in the order in which the file first has them, and for each row the
/// position of its level.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Labels {
    /// Different names, in file order.
    pub levels: Vec<String>,
    /// For each row, the position of its name in `levels`.
    pub codes: Vec<usize>,
}

impl Labels {
    /// Name of a row.
    #[must_use]
    pub fn name(&self, row: usize) -> Option<&str> {
        self.levels.get(*self.codes.get(row)?).map(String::as_str)
    }
}
