//! The numbers behind a figure: what it shows, as headings and rows.

use serde::Serialize;

use crate::Error;
use crate::text::table_cells::written;

/// One cell of the numbers behind a figure.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(untagged)]
pub enum Cell {
    /// A number in full.
    Number(f64),
    /// A name or a label.
    Text(String),
    /// Nothing is shown here.
    Empty,
}

/// The numbers behind a figure, so that a page can show and a file can keep what the figure draws.
#[derive(Debug, Clone, Default, PartialEq, Serialize)]
pub struct FigureData {
    /// Names of the columns.
    pub headings: Vec<String>,
    /// One row for each thing drawn, each as long as the headings.
    pub rows: Vec<Vec<Cell>>,
}

impl From<f64> for Cell {
    fn from(number: f64) -> Self {
        if number.is_finite() {
            Self::Number(number)
        } else {
            Self::Empty
        }
    }
}

impl From<Option<f64>> for Cell {
    fn from(number: Option<f64>) -> Self {
        number.map_or(Self::Empty, Self::from)
    }
}

impl From<&str> for Cell {
    fn from(text: &str) -> Self {
        Self::Text(text.to_owned())
    }
}

impl FigureData {
    pub(crate) fn new(headings: &[&str]) -> Self {
        Self {
            headings: headings.iter().map(|&h| h.to_owned()).collect(),
            rows: Vec::new(),
        }
    }

    /// The rows as text: numbers by `number`, and nothing where nothing is shown.
    #[must_use]
    pub fn texts(&self, number: impl Fn(f64) -> String) -> Vec<Vec<String>> {
        let text = |cell: &Cell| match cell {
            Cell::Number(x) => number(*x),
            Cell::Text(text) => text.clone(),
            Cell::Empty => String::new(),
        };
        self.rows
            .iter()
            .map(|row| row.iter().map(text).collect())
            .collect()
    }

    /// The numbers in full as a table of comma-separated values (RFC 4180).
    ///
    /// # Errors
    /// A row that is longer or shorter than the headings.
    pub fn csv(&self) -> Result<String, Error> {
        let mut writer = csv::Writer::from_writer(Vec::new());
        let cell = |cell: &Cell| match cell {
            Cell::Number(x) => x.to_string(),
            Cell::Text(text) => written(text).into_owned(),
            Cell::Empty => String::new(),
        };
        let headings = self.headings.iter().map(|h| written(h).into_owned());
        let rows = self.rows.iter().map(|row| row.iter().map(cell).collect());
        let written = std::iter::once(headings.collect::<Vec<_>>())
            .chain(rows)
            .try_for_each(|row| writer.write_record(row));
        let told = |what: String| Error::new("figure", what, "Report this as a fault.");
        written.map_err(|fault| told(format!("its numbers make no table ({fault})")))?;
        let bytes = writer
            .into_inner()
            .map_err(|fault| told(fault.to_string()))?;
        String::from_utf8(bytes).map_err(|fault| told(fault.to_string()))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_kept_in_full() {
        let mut data = FigureData::new(&["blocks, tried", "power"]);
        data.rows.push(vec!["6".into(), 0.1_f64.into()]);
        data.rows.push(vec![Cell::Empty, f64::NAN.into()]);
        data.rows.push(vec!["=1+1".into(), (-1.5).into()]);
        assert_eq!(
            data.csv().unwrap(),
            "\"blocks, tried\",power\n6,0.1\n,\n'=1+1,-1.5\n"
        );
        assert_eq!(data.texts(|x| format!("{x:.2}"))[0], ["6", "0.10"]);
        data.rows.push(Vec::new());
        assert!(data.csv().is_err());
    }
}
