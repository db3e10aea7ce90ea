//! Whole columns as counts, numbers or names.

use std::collections::BTreeMap;
use std::ops::RangeInclusive;

use super::Labels;
use super::count::read_count;
use crate::ranges::Range;
use crate::table::{Complaint, Problem, Problems, RawTable, Rule};
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

    /// A column of numbers of a range.
    ///
    /// # Errors
    /// A missing column, or every cell that is blank, no number, or outside the range.
    pub fn numbers(&self, name: &str, range: &Range) -> Result<Vec<f64>, Vec<Problem>> {
        let at = self.required(name).map_err(|p| vec![p])?;
        let read = self.rows.iter().map(|row| {
            let cell = &row[at];
            let fault = match self.number(&cell.text) {
                Some(x) if range.holds(x) => return Ok(x),
                Some(_) => format!("`{name}`: {}", range.fault(&cell.text)),
                None if cell.text.is_empty() => format!("`{name}` is blank"),
                None => format!("`{name}` is \"{}\", which is no number", cell.text),
            };
            let unfit = Complaint::new(fault, range.cure());
            Err(Problem::new(
                &self.file,
                Some(cell),
                Rule::ImpossibleNumber,
                unfit,
            ))
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

    /// Refuses names that look the same.
    fn told_apart(&self, at: usize, labels: &Labels) -> Result<(), Vec<Problem>> {
        let mut met: BTreeMap<String, usize> = BTreeMap::new();
        for (level, name) in labels.levels.iter().enumerate() {
            let Some(first) = met.insert(seen(name), level) else {
                continue;
            };
            let row_of = |level: usize| labels.codes.iter().position(|&c| c == level);
            let cells = [first, level].map(|level| row_of(level).map(|row| &self.rows[row][at]));
            let alike = Complaint::new(
                format!(
                    "\"{}\" looks like the name on line {}, and holds other signs that nobody sees",
                    seen(name),
                    cells[0].map_or(1, |cell| cell.line)
                ),
                "Type it anew on both lines.",
            );
            let problem = Problem::new(&self.file, cells[1], Rule::ImpossibleNumber, alike);
            return Err(vec![problem]);
        }
        Ok(())
    }

    /// A column of names.
    ///
    /// # Errors
    /// A missing column, every cell that is blank, or names that nobody can tell apart.
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
        let labels = Labels::of(all(read)?);
        self.told_apart(at, &labels)?;
        Ok(labels)
    }
}

/// A name without what nobody sees: signs of no width, and marks of direction.
fn seen(name: &str) -> String {
    let unseen = |c: &char| matches!(c, '\u{ad}' | '\u{200b}'..='\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2060}'..='\u{2069}' | '\u{feff}');
    name.chars().filter(|c| !unseen(c)).collect()
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
