//! Cells that remember where they stand, and the table they make up.

use super::reading::{Reading, empty};
use super::{Complaint, Problem, Rule};
use crate::text::spelling::offer;

/// One cell: its text without surrounding blanks, and its place.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Cell {
    /// Text.
    pub text: String,
    /// Line, from 1.
    pub line: u64,
    /// Cell in the line, from 1.
    pub column: usize,
}

/// A table as written. Every row has a cell under every heading; wholly blank rows are left out.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RawTable {
    /// File as the user named it.
    pub file: String,
    /// The headings.
    pub header: Vec<Cell>,
    /// The rows under them.
    pub rows: Vec<Vec<Cell>>,
    /// Whether a comma inside a number is its decimal sign.
    pub decimal_comma: bool,
}

impl RawTable {
    /// Reads delimited text; `file` is its name in complaints.
    ///
    /// # Errors
    /// An empty file, a quotation mark that is never closed, a character that no text holds, two columns of one name, lines with more
    /// cells than there are headings: all that are found.
    pub fn read(file: &str, text: &str) -> Result<Self, Vec<Problem>> {
        let whole = Reading::of_whole(file, text)?.part(usize::MAX)?;
        whole.ok_or_else(|| vec![empty(file)])
    }

    /// The headings alone, with the first row.
    ///
    /// # Errors
    /// As [`read`](Self::read), of the first two lines.
    pub(crate) fn read_head(file: &str, text: &str) -> Result<Self, Vec<Problem>> {
        let head = Reading::of_summed(file, text)?.part(1)?;
        head.ok_or_else(|| vec![empty(file)])
    }

    /// Position of the column with this heading; capitals do not matter.
    #[must_use]
    pub fn position(&self, name: &str) -> Option<usize> {
        let name = name.trim().to_lowercase();
        self.header
            .iter()
            .position(|h| h.text.to_lowercase() == name)
    }

    /// Position of a column that must be there.
    ///
    /// # Errors
    /// A missing column, with the nearest heading or all of them.
    pub fn required(&self, name: &str) -> Result<usize, Problem> {
        self.position(name).ok_or_else(|| {
            let headings: Vec<&str> = self.header.iter().map(|h| h.text.as_str()).collect();
            let absent = Complaint::new(
                format!("there is no column `{name}`"),
                offer(name, &headings),
            );
            Problem::new(&self.file, self.header.first(), Rule::MissingColumn, absent)
        })
    }

    /// `file:line:column` of a cell.
    #[must_use]
    pub fn place(&self, cell: &Cell) -> String {
        format!("{}:{}:{}", self.file, cell.line, cell.column)
    }

    /// The heading over a cell.
    #[must_use]
    pub fn heading(&self, cell: &Cell) -> &str {
        let heading = self.header.get(cell.column.wrapping_sub(1));
        heading.map_or("", |h| h.text.as_str())
    }

    /// Takes out the rows that are blank in this column, and returns them.
    pub fn take_blank(&mut self, column: usize) -> Vec<Vec<Cell>> {
        let rows = std::mem::take(&mut self.rows).into_iter();
        let (blank, kept) = rows.partition(|row| row[column].text.is_empty());
        self.rows = kept;
        blank
    }
}
