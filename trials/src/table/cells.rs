//! Delimited text to cells that remember where they stand.

use super::{Complaint, Problem, Problems, Rule, size};
use crate::text::names::{fault, may_stand};
use crate::text::spelling::offer;
use crate::text::table_cells::read as written_as;

/// Put below the last line while reading, as its own line; the ASCII character made for this.
const END: &str = "\u{4}";

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
        let text = text.strip_prefix('\u{feff}').unwrap_or(text);
        size::of_text(file, text)?;
        let separator = separator(text);
        let mut lines = split(&format!("{text}\n{END}"), separator);
        if let Some(problem) = open_quote(file, &lines.pop().unwrap_or_default()) {
            return Err(vec![problem]);
        }
        if let Some(problem) = unseen(file, &lines) {
            return Err(vec![problem]);
        }
        if lines.is_empty() {
            let empty = Complaint::new(
                "the file is empty",
                "Write a header line, and below it a line for each count, plot or corner.",
            );
            return Err(vec![Problem::new(file, None, Rule::EmptyFile, empty)]);
        }
        size::of_lines(file, &lines)?;
        let header = lines.remove(0);
        let mut problems = Problems::default();
        problems.extend(repeated_headings(file, &header));
        if lines.is_empty() {
            let empty = Complaint::new(
                "there is a header but no line below it",
                "Write a line for each count, plot or corner.",
            );
            problems.push(Problem::new(file, header.first(), Rule::EmptyFile, empty));
        }
        let rows = lines
            .into_iter()
            .map(|row| fit(file, row, &header, &mut problems))
            .collect();
        let problems = problems.into_list();
        if !problems.is_empty() {
            return Err(problems);
        }
        Ok(Self {
            file: file.to_owned(),
            header,
            rows,
            decimal_comma: separator != b',',
        })
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

/// The separator that occurs most often in the header, outside quotation marks; a comma when none does.
fn separator(text: &str) -> u8 {
    let header = text
        .lines()
        .find(|l| !l.trim().is_empty())
        .unwrap_or_default();
    let bare: String = header.split('"').step_by(2).collect();
    let often = |c: char| bare.matches(c).count();
    if often(';') > often(',').max(often('\t')) {
        b';'
    } else if often('\t') > often(',') {
        b'\t'
    } else {
        b','
    }
}

/// All lines that are not blank, cell by cell.
fn split(text: &str, separator: u8) -> Vec<Vec<Cell>> {
    let mut reader = csv::ReaderBuilder::new()
        .delimiter(separator)
        .has_headers(false)
        .flexible(true)
        .trim(csv::Trim::All)
        .from_reader(text.as_bytes());
    let (mut counted_to, mut line) = (0, 1);
    let mut lines = Vec::new();
    for record in reader.records().map_while(Result::ok) {
        // The reader places a record before any blank lines it skipped.
        let start = record
            .position()
            .map_or(0, |p| usize::try_from(p.byte()).unwrap_or(0));
        let skipped = text.len() - text[start..].trim_start_matches(['\r', '\n']).len();
        line += line_breaks(&text[counted_to..skipped]);
        counted_to = skipped;
        let cells: Vec<Cell> = record
            .iter()
            .zip(1..)
            .map(|(text, column)| Cell {
                text: written_as(text).to_owned(),
                line,
                column,
            })
            .collect();
        if cells.iter().any(|c| !c.text.is_empty()) {
            lines.push(cells);
        }
    }
    lines
}

/// Line breaks in a text: LF, CRLF, or a lone CR.
fn line_breaks(text: &str) -> u64 {
    let breaks =
        text.matches('\n').count() + text.matches('\r').count() - text.matches("\r\n").count();
    breaks as u64
}

/// The last line must be the end mark alone: a quotation mark that is never closed swallows it. One in
/// the middle of a text (6" deep) opens nothing and is left as it is.
fn open_quote(file: &str, last: &[Cell]) -> Option<Problem> {
    if let [mark] = last
        && mark.text == END
    {
        return None;
    }
    let swallowing = last.iter().find(|c| c.text.ends_with(END));
    let open = Complaint::new(
        "a quotation mark is opened and never closed",
        "Close it, or take it out.",
    );
    Some(Problem::new(file, swallowing, Rule::BrokenLine, open))
}

/// The first character that no name may hold, in whichever cell; a note may have several lines. Bytes of value zero are what a
/// disk or a copy that broke off leaves where something was written.
fn unseen(file: &str, lines: &[Vec<Cell>]) -> Option<Problem> {
    let unfit = |c: char| !(may_stand(c) || matches!(c, '\n' | '\r' | '\t'));
    let cell = lines.iter().flatten().find(|c| c.text.contains(unfit))?;
    let (what, cure) = if cell.text.contains('\0') {
        let what = "bytes of value zero stand here: the file is damaged, and something may be lost";
        let cure = "Restore it from a copy, or compare it with the field sheets and write it anew.";
        (what.to_owned(), cure.to_owned())
    } else {
        let one: String = cell.text.chars().filter(|c| unfit(*c)).take(1).collect();
        fault(&one, 1)?
    };
    let complaint = Complaint::new(what, cure);
    Some(Problem::new(file, Some(cell), Rule::BrokenLine, complaint))
}

fn repeated_headings(file: &str, header: &[Cell]) -> Vec<Problem> {
    let repeated = header.iter().enumerate().filter(|(i, h)| {
        let name = h.text.to_lowercase();
        !name.is_empty() && header[..*i].iter().any(|o| o.text.to_lowercase() == name)
    });
    repeated
        .map(|(_, h)| {
            let twice = Complaint::new(
                format!("two columns are called `{}`", h.text),
                "Rename or remove one.",
            );
            Problem::new(file, Some(h), Rule::RepeatedColumn, twice)
        })
        .collect()
}

/// Fills a short row with blank cells and complains of a long one.
fn fit(file: &str, mut row: Vec<Cell>, header: &[Cell], problems: &mut Problems) -> Vec<Cell> {
    if let Some(surplus) = row.iter().skip(header.len()).find(|c| !c.text.is_empty()) {
        let long = Complaint::new(
            format!(
                "this line has {} cells under {} headings",
                row.len(),
                header.len()
            ),
            "Put quotation marks round a text that holds the separator, or take out the surplus cell.",
        );
        problems.push(Problem::new(file, Some(surplus), Rule::BrokenLine, long));
    }
    let line = row.first().map_or(1, |c| c.line);
    row.truncate(header.len());
    for column in row.len() + 1..=header.len() {
        row.push(Cell {
            text: String::new(),
            line,
            column,
        });
    }
    row
}
