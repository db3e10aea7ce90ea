//! What makes a table of counts doubtful though each of its lines can be read.

use super::reading::Reading;
use super::{Cell, Complaint, Problem, Problems, RawTable, Rule};

/// Rows of a table that are kept at once where only sums are taken of it: some tens of megabytes.
const AT_ONCE: usize = 100_000;

impl RawTable {
    /// Reads a table in which every line is something counted or read. Beside it stands what somebody should know.
    ///
    /// # Errors
    /// As [`read`](Self::read); a cell over several lines, which a stray quotation mark makes of as many lines as stand
    /// before the next one.
    pub fn read_counts(file: &str, text: &str) -> Result<(Self, Vec<Problem>), Vec<Problem>> {
        let table = Self::read(file, text)?;
        let mut swallowed = Problems::default();
        for row in &table.rows {
            swallowed.extend(table.over_lines(row));
        }
        let swallowed = swallowed.into_list();
        if swallowed.is_empty() {
            let unread = table.without_heading().into_iter().collect();
            Ok((table, unread))
        } else {
            Err(swallowed)
        }
    }

    /// Reads such a table part by part, so that its cells are never all kept, and gives back what somebody should know.
    ///
    /// # Errors
    /// As [`read_counts`](Self::read_counts); what was taken of the parts before is then worth nothing.
    pub(crate) fn read_counts_in_parts(
        file: &str,
        text: &str,
        mut take: impl FnMut(Self),
    ) -> Result<Vec<Problem>, Vec<Problem>> {
        let mut reading = Reading::of_summed(file, text)?;
        let mut swallowed = Problems::default();
        let mut unread = None;
        while let Some(part) = reading.part(AT_ONCE)? {
            for row in &part.rows {
                swallowed.extend(part.over_lines(row));
            }
            unread = unread.or_else(|| part.without_heading());
            take(part);
        }
        let swallowed = swallowed.into_list();
        if swallowed.is_empty() {
            Ok(unread.into_iter().collect())
        } else {
            Err(swallowed)
        }
    }

    /// The first cell of a row that goes on over several lines, with where its quotation mark opens and closes.
    fn over_lines(&self, row: &[Cell]) -> Option<Problem> {
        let breaks = |cell: &Cell| cell.text.matches('\n').count() as u64;
        let at = row.iter().position(|cell| breaks(cell) > 0)?;
        let cell = &row[at];
        let last = cell.line + breaks(cell);
        let what = format!(
            "a quotation mark opens on line {} and closes on line {last}, so that what stands between is one cell",
            cell.line
        );
        let cure = "Take it out if it is a slip: the lines between are counted on no other line. Write a note on one line.";
        let swallowed = Complaint::new(what, cure);
        Some(Problem::new(
            &self.file,
            Some(cell),
            Rule::BrokenLine,
            swallowed,
        ))
    }

    /// The first cell that holds something under a heading that is blank: nothing reads it.
    fn without_heading(&self) -> Option<Problem> {
        let blank: Vec<usize> = (0..self.header.len())
            .filter(|&at| self.header[at].text.is_empty())
            .collect();
        let mut cells = self
            .rows
            .iter()
            .flat_map(|row| blank.iter().map(|&at| &row[at]));
        let cell = cells.find(|cell| !cell.text.is_empty())?;
        let unread = Complaint::new(
            format!(
                "column {} has no heading and is not read, but something stands in it",
                cell.column
            ),
            "Give it a heading if it is meant to be read.",
        );
        Some(Problem::new(
            &self.file,
            Some(cell),
            Rule::UnknownColumn,
            unread,
        ))
    }

    /// Takes out the rows that are blank in this column, each with the same complaint.
    pub(crate) fn leave_out_blank(
        &mut self,
        column: usize,
        complaint: &Complaint,
        left_out: &mut Problems,
    ) {
        for row in self.take_blank(column) {
            let (cell, rule) = (Some(&row[column]), Rule::NotCounted);
            left_out.push(Problem::new(&self.file, cell, rule, complaint.clone()));
        }
    }
}
