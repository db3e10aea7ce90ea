//! Whole columns as counts, numbers or names.

use std::ops::RangeInclusive;

use super::Labels;
use super::count::read_count;
use super::gathered_columns::{Named, Names, Values};
use crate::ranges::Range;
use crate::table::{Cell, Complaint, Problem, Problems, RawTable, Rule};

impl RawTable {
    /// A column of counts; blank ones are `None`.
    ///
    /// # Errors
    /// A missing column, or every cell that is no count.
    pub fn counts(&self, name: &str) -> Result<Vec<Option<u64>>, Vec<Problem>> {
        let mut counts = Values::of(name);
        counts.take_counts(self);
        counts.whole()
    }

    /// The count in a cell; nothing where it is blank.
    pub(super) fn count_in(&self, cell: &Cell) -> Result<Option<u64>, Problem> {
        read_count(&cell.text)
            .map_err(|f| Problem::new(&self.file, Some(cell), f.rule, f.complaint))
    }

    /// A column of numbers of a range.
    ///
    /// # Errors
    /// A missing column, or every cell that is blank, no number, or outside the range.
    pub fn numbers(&self, name: &str, range: &Range) -> Result<Vec<f64>, Vec<Problem>> {
        let mut numbers = Values::of(name);
        numbers.take_numbers(self, range);
        numbers.whole()
    }

    /// The number of a range in a cell of a named column.
    pub(super) fn number_of(&self, cell: &Cell, name: &str, range: &Range) -> Result<f64, Problem> {
        let fault = match self.number(&cell.text) {
            Some(x) if range.holds(x) => return Ok(x),
            Some(_) => format!("`{name}`: {}", range.fault(&cell.text)),
            None if cell.text.is_empty() => format!("`{name}` is blank"),
            None => format!("`{name}` is \"{}\", which is no number", cell.text),
        };
        let unfit = Complaint::new(fault, range.cure());
        let rule = Rule::ImpossibleNumber;
        Err(Problem::new(&self.file, Some(cell), rule, unfit))
    }

    /// A column of readings in the `allowed` range, `needed` in words; blank ones are `None`.
    ///
    /// # Errors
    /// A missing column, or every cell that is neither blank nor such a number.
    pub fn readings(
        &self,
        name: &str,
        allowed: RangeInclusive<f64>,
        needed: &str,
    ) -> Result<Vec<Option<f64>>, Vec<Problem>> {
        let at = self.required(name).map_err(|p| vec![p])?;
        let read = self.rows.iter().map(|row| {
            let cell = &row[at];
            if cell.text.is_empty() {
                return Ok(None);
            }
            let number = self.number(&cell.text);
            let number = number.filter(|x| allowed.contains(x));
            number.map(Some).ok_or_else(|| {
                let unfit = Complaint::new(
                    format!("`{name}` is \"{}\"", cell.text),
                    format!("Write the reading, {needed}, or leave it blank if it was not read."),
                );
                Problem::new(&self.file, Some(cell), Rule::ImpossibleNumber, unfit)
            })
        });
        all(read)
    }

    /// A column of names.
    ///
    /// # Errors
    /// A missing column, every cell that is blank, or names that nobody can tell apart.
    pub fn labels(&self, name: &str) -> Result<Labels, Vec<Problem>> {
        self.named(name).map(|named| named.labels)
    }

    /// The same, with the first cell of each level.
    pub(super) fn named(&self, name: &str) -> Result<Named, Vec<Problem>> {
        let mut names = Names::of(name);
        names.take(self);
        names.whole(&self.file)
    }
}

/// All values, or all problems.
fn all<T>(read: impl Iterator<Item = Result<T, Problem>>) -> Result<Vec<T>, Vec<Problem>> {
    let (mut values, mut problems) = (Vec::new(), Problems::default());
    for item in read {
        match item {
            Ok(value) => values.push(value),
            Err(problem) => problems.push(problem),
        }
    }
    let problems = problems.into_list();
    if problems.is_empty() {
        Ok(values)
    } else {
        Err(problems)
    }
}
