//! Delimited text to cells that remember their line and column.

use crate::Error;

/// A table as written, with its header in lower case.
#[derive(Debug, Clone)]
pub(crate) struct Table {
    file: String,
    headers: Vec<String>,
    rows: Vec<Row>,
    decimal_comma: bool,
}

#[derive(Debug, Clone)]
struct Row {
    line: u64,
    cells: Vec<String>,
}

impl Table {
    /// Reads `text`: header first, `,` or `;` between cells, LF or CRLF, a byte-order mark
    /// tolerated. With `;` a comma inside a number is its decimal sign.
    ///
    /// # Errors
    /// An empty file, broken quoting, or a row with more cells than the header.
    pub(crate) fn read(file: &str, text: &str) -> Result<Self, Error> {
        let text = text.trim_start_matches('\u{feff}');
        let first = text.lines().find(|l| !l.trim().is_empty()).unwrap_or("");
        let semicolon = first.matches(';').count() > first.matches(',').count();
        let mut reader = csv::ReaderBuilder::new()
            .delimiter(if semicolon { b';' } else { b',' })
            .flexible(true)
            .trim(csv::Trim::All)
            .from_reader(text.as_bytes());
        let broken = |e: &csv::Error| {
            let line = e.position().map_or(1, csv::Position::line);
            Error::new(
                format!("{file}:{line}:1"),
                format!("the line cannot be read ({e})"),
                "Save the file as CSV in UTF-8 and close every quotation mark.",
            )
        };
        let headers: Vec<String> = reader
            .headers()
            .map_err(|e| broken(&e))?
            .iter()
            .map(str::to_lowercase)
            .collect();
        if headers.is_empty() {
            return Err(Error::new(
                format!("{file}:1:1"),
                "the file is empty",
                "Write a header line and one line for each point or plot.",
            ));
        }
        let mut rows = Vec::new();
        for record in reader.records() {
            let record = record.map_err(|e| broken(&e))?;
            let line = record.position().map_or(0, csv::Position::line);
            let cells: Vec<String> = record.iter().map(str::to_owned).collect();
            if cells.iter().all(String::is_empty) {
                continue;
            }
            if cells.len() > headers.len() {
                return Err(Error::new(
                    format!("{file}:{line}:{}", headers.len() + 1),
                    format!(
                        "the line has {} cells under {} headings",
                        cells.len(),
                        headers.len()
                    ),
                    "Take out the surplus cell, or put quotation marks round a text with a comma.",
                ));
            }
            rows.push(Row { line, cells });
        }
        Ok(Self {
            file: file.to_owned(),
            headers,
            rows,
            decimal_comma: semicolon,
        })
    }

    /// Number of rows below the header.
    pub(crate) fn len(&self) -> usize {
        self.rows.len()
    }

    /// Position of the column called `name`, if there is one.
    pub(crate) fn column(&self, name: &str) -> Option<usize> {
        self.headers.iter().position(|h| h == name)
    }

    /// Position of the column called `name`.
    ///
    /// # Errors
    /// The column is missing; the message lists what the file has.
    pub(crate) fn required(&self, name: &str) -> Result<usize, Error> {
        self.column(name).ok_or_else(|| {
            Error::new(
                format!("{}:1:1", self.file),
                format!(
                    "the column `{name}` is missing (found {})",
                    self.headers.join(", ")
                ),
                format!("Name a column `{name}` in the first line."),
            )
        })
    }

    /// Place of a cell, `file:line:column`; the column counts cells from 1.
    pub(crate) fn place(&self, row: usize, column: usize) -> String {
        let line = self.rows.get(row).map_or(0, |r| r.line);
        format!("{}:{line}:{}", self.file, column + 1)
    }

    /// Text of a cell; empty where the row is short.
    pub(crate) fn text(&self, row: usize, column: usize) -> &str {
        self.rows
            .get(row)
            .and_then(|r| r.cells.get(column))
            .map_or("", String::as_str)
    }

    /// Number in a cell.
    ///
    /// # Errors
    /// The cell is empty, no number, or not finite.
    pub(crate) fn number(&self, row: usize, column: usize) -> Result<f64, Error> {
        let text = self.text(row, column);
        let plain = if self.decimal_comma {
            text.replace(',', ".")
        } else {
            text.to_owned()
        };
        match plain.parse::<f64>() {
            Ok(value) if value.is_finite() => Ok(value),
            _ => Err(Error::new(
                self.place(row, column),
                if text.is_empty() {
                    format!("`{}` is empty", self.headers[column])
                } else {
                    format!("`{text}` is not a number")
                },
                "Write a plain number such as 12.5.",
            )),
        }
    }

    /// Number in a cell, `None` where it is empty.
    ///
    /// # Errors
    /// The cell holds something that is no finite number.
    pub(crate) fn optional_number(&self, row: usize, column: usize) -> Result<Option<f64>, Error> {
        if self.text(row, column).is_empty() {
            return Ok(None);
        }
        self.number(row, column).map(Some)
    }
}
