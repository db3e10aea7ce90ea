//! Numbers in the cells of a table.

use super::{Cell, RawTable};
use crate::Error;
use crate::ranges::Range;

impl RawTable {
    /// Number in a text, with the table's own decimal sign or a point.
    #[must_use]
    pub fn number(&self, text: &str) -> Option<f64> {
        let plain = if self.decimal_comma {
            text.replace(',', ".")
        } else {
            text.to_owned()
        };
        let digits = plain
            .chars()
            .all(|c| c.is_ascii_digit() || "+-.eE".contains(c));
        plain.parse().ok().filter(|x: &f64| digits && x.is_finite())
    }

    /// Number in a cell that must hold one.
    ///
    /// # Errors
    /// A blank cell, or one that holds no finite number.
    pub fn number_in(&self, cell: &Cell) -> Result<f64, Error> {
        self.number(&cell.text).ok_or_else(|| {
            let what = if cell.text.is_empty() {
                format!("`{}` is empty", self.heading(cell))
            } else {
                format!("`{}` is not a number", cell.text)
            };
            Error::new(self.place(cell), what, "Write a plain number such as 12.5.")
        })
    }

    /// Number in a cell that may be blank.
    ///
    /// # Errors
    /// A cell that holds something that is no finite number.
    pub fn number_or_blank(&self, cell: &Cell) -> Result<Option<f64>, Error> {
        if cell.text.is_empty() {
            return Ok(None);
        }
        self.number_in(cell).map(Some)
    }

    /// Number in a cell that must hold one of a range.
    ///
    /// # Errors
    /// A blank cell, one that holds no number, or a number outside the range.
    pub fn number_within(&self, cell: &Cell, range: &Range) -> Result<f64, Error> {
        let value = self.number_in(cell)?;
        if range.holds(value) {
            return Ok(value);
        }
        let found = format!("this is {} {}", cell.text, range.unit);
        Err(range.refuse(self.place(cell), found.trim_end(), "Correct the number."))
    }
}
