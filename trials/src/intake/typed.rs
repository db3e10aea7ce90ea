//! Whole columns as counts, numbers or names.

use std::ops::RangeInclusive;

use super::Labels;
use super::count::read_count;
use crate::table::{Complaint, Problem, RawTable, Rule};
use crate::text::names::{NAME, fault};

impl RawTable {
    /// A column of counts; blank ones are `None`.
    ///
    /// # Errors
    /// A missing column, or every cell that is no count.
    pub fn counts(&self, name: &str) -> Result<Vec<Option<u64>>, Vec<Problem>> {
        let at = self.required(name).map_err(|p| vec![p])?;
        let read = self.rows.iter().map(|row| {
            let cell = &row[at];
            read_count(&cell.text)
                .map_err(|f| Problem::new(&self.file, Some(cell), f.rule, f.complaint))
        });
        all(read)
    }

    /// A column of finite numbers that `allowed` accepts; `needed` says in words which those are.
    ///
    /// # Errors
    /// A missing column, or every cell that is blank, no number, or not allowed.
    pub fn numbers(
        &self,
        name: &str,
        allowed: fn(f64) -> bool,
        needed: &str,
    ) -> Result<Vec<f64>, Vec<Problem>> {
        let at = self.required(name).map_err(|p| vec![p])?;
        let read = self.rows.iter().map(|row| {
            let cell = &row[at];
            self.number(&cell.text)
                .filter(|x| allowed(*x))
                .ok_or_else(|| {
                    let found = if cell.text.is_empty() {
                        "is blank".to_owned()
                    } else {
                        format!("is \"{}\"", cell.text)
                    };
                    let unfit =
                        Complaint::new(format!("`{name}` {found}"), format!("Write {needed}."));
                    Problem::new(&self.file, Some(cell), Rule::ImpossibleNumber, unfit)
                })
        });
        all(read)
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
    /// A missing column, or every cell that is blank.
    pub fn labels(&self, name: &str) -> Result<Labels, Vec<Problem>> {
        let at = self.required(name).map_err(|p| vec![p])?;
        let read = self.rows.iter().map(|row| {
            let cell = &row[at];
            if cell.text.is_empty() {
                let blank =
                    Complaint::new(format!("`{name}` is blank"), "Fill it in on every line.");
                return Err(Problem::new(&self.file, Some(cell), Rule::BlankCell, blank));
            }
            if let Some((what, cure)) = fault(&cell.text, NAME) {
                let unfit = Complaint::new(format!("`{name}`: {what}"), cure);
                return Err(Problem::new(
                    &self.file,
                    Some(cell),
                    Rule::BrokenLine,
                    unfit,
                ));
            }
            Ok(cell.text.as_str())
        });
        Ok(Labels::of(all(read)?))
    }
}

/// All values, or all problems.
fn all<T>(read: impl Iterator<Item = Result<T, Problem>>) -> Result<Vec<T>, Vec<Problem>> {
    let (mut values, mut problems) = (Vec::new(), Vec::new());
    for item in read {
        match item {
            Ok(value) => values.push(value),
            Err(problem) => problems.push(problem),
        }
    }
    if problems.is_empty() {
        Ok(values)
    } else {
        Err(problems)
    }
}
