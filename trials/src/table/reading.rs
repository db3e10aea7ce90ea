//! Delimited text to cells: the whole of a table at once, or so many of its rows at a time.

use std::io::{Chain, Read};

use super::size::{self, Extent};
use super::{Cell, Complaint, Problem, Problems, RawTable, Rule};
use crate::text::names::{fault, may_stand};
use crate::text::table_cells::read as written_as;

/// Put below the last line while reading, as its own line; the ASCII character made for this.
const END: &str = "\u{4}";
/// The same with the line break before it.
const BELOW: &str = "\n\u{4}";

/// A table on its way from text to cells.
pub(super) struct Reading<'t> {
    file: &'t str,
    separator: u8,
    lines: Lines<'t>,
    /// The line that was read last; whether it is the end mark shows when there is no other.
    held: Option<Vec<Cell>>,
    ended: bool,
    header: Option<Vec<Cell>>,
}

impl<'t> Reading<'t> {
    /// A table that is kept whole.
    ///
    /// # Errors
    /// A text that is too long, or has too many lines.
    pub(super) fn of_whole(file: &'t str, text: &'t str) -> Result<Self, Vec<Problem>> {
        Self::within(file, text, &size::WHOLE)
    }

    /// A table of which sums are taken.
    ///
    /// # Errors
    /// As [`of_whole`](Self::of_whole).
    pub(super) fn of_summed(file: &'t str, text: &'t str) -> Result<Self, Vec<Problem>> {
        Self::within(file, text, &size::SUMMED)
    }

    fn within(file: &'t str, text: &'t str, most: &Extent) -> Result<Self, Vec<Problem>> {
        let text = text.strip_prefix('\u{feff}').unwrap_or(text);
        size::of_text(file, text, most)?;
        let separator = separator(text);
        let mut lines = Lines::of(text, separator);
        let held = lines.next();
        Ok(Self {
            file,
            separator,
            lines,
            held,
            ended: false,
            header: None,
        })
    }

    /// The next rows, at most so many; nothing where all have been read.
    ///
    /// # Errors
    /// As [`RawTable::read`], of these rows.
    pub(super) fn part(&mut self, rows: usize) -> Result<Option<RawTable>, Vec<Problem>> {
        let file = self.file;
        let first = self.header.is_none();
        let wanted = rows.saturating_add(usize::from(first));
        let mut lines = Vec::new();
        while lines.len() < wanted {
            match self.line().map_err(|open| vec![open])? {
                Some(line) => lines.push(line),
                None => break,
            }
        }
        if let Some(problem) = unseen(file, &lines) {
            return Err(vec![problem]);
        }
        if lines.is_empty() {
            return if first {
                Err(vec![empty(file)])
            } else {
                Ok(None)
            };
        }
        let header = self.header.get_or_insert_with(|| lines.remove(0));
        size::of_lines(file, header, &lines)?;
        let mut problems = Problems::default();
        if first {
            problems.extend(repeated_headings(file, header));
            if lines.is_empty() {
                let empty = Complaint::new(
                    "there is a header but no line below it",
                    "Write a line for each count, plot or corner.",
                );
                problems.push(Problem::new(file, header.first(), Rule::EmptyFile, empty));
            }
        }
        let rows = lines
            .into_iter()
            .map(|row| fit(file, row, header, &mut problems))
            .collect();
        let problems = problems.into_list();
        if !problems.is_empty() {
            return Err(problems);
        }
        Ok(Some(RawTable {
            file: file.to_owned(),
            header: header.clone(),
            rows,
            decimal_comma: self.separator != b',',
        }))
    }

    /// The next line; nothing behind the last one.
    fn line(&mut self) -> Result<Option<Vec<Cell>>, Problem> {
        if self.ended {
            return Ok(None);
        }
        let following = self.lines.next();
        self.ended = following.is_none();
        let line = std::mem::replace(&mut self.held, following);
        if !self.ended {
            return Ok(line);
        }
        match open_quote(self.file, &line.unwrap_or_default()) {
            Some(open) => Err(open),
            None => Ok(None),
        }
    }
}

/// A file without a line.
pub(super) fn empty(file: &str) -> Problem {
    let empty = Complaint::new(
        "the file is empty",
        "Write a header line, and below it a line for each count, plot or corner.",
    );
    Problem::new(file, None, Rule::EmptyFile, empty)
}

/// The separator that occurs most often in the header, outside quotation marks; a comma when none does.
pub(super) fn separator(text: &str) -> u8 {
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

/// All lines that are not blank, cell by cell; the end mark is the last.
struct Lines<'t> {
    text: &'t str,
    reader: csv::Reader<Chain<&'t [u8], &'static [u8]>>,
    record: csv::StringRecord,
    /// Bytes up to which lines were counted, and the line that begins there.
    counted_to: usize,
    line: u64,
}

impl<'t> Lines<'t> {
    fn of(text: &'t str, separator: u8) -> Self {
        let reader = csv::ReaderBuilder::new()
            .delimiter(separator)
            .has_headers(false)
            .flexible(true)
            .trim(csv::Trim::All)
            .from_reader(text.as_bytes().chain(BELOW.as_bytes()));
        Self {
            text,
            reader,
            record: csv::StringRecord::new(),
            counted_to: 0,
            line: 1,
        }
    }
}

impl Iterator for Lines<'_> {
    type Item = Vec<Cell>;

    fn next(&mut self) -> Option<Vec<Cell>> {
        // A record that cannot be read does not occur: the text is UTF-8, and lines may differ in length.
        while let Ok(true) = self.reader.read_record(&mut self.record) {
            // The reader places a record before any blank lines it skipped.
            let at = self.record.position().map_or(0, csv::Position::byte);
            let start = usize::try_from(at).unwrap_or(0).min(self.text.len());
            let rest = self.text.as_bytes()[start..].iter();
            let skipped = start + rest.take_while(|b| matches!(b, b'\r' | b'\n')).count();
            self.line += line_breaks(&self.text.as_bytes()[self.counted_to..skipped]);
            self.counted_to = skipped;
            if self.record.iter().all(|text| written_as(text).is_empty()) {
                continue;
            }
            let cell = |(text, column)| Cell {
                text: written_as(text).to_owned(),
                line: self.line,
                column,
            };
            return Some(self.record.iter().zip(1..).map(cell).collect());
        }
        None
    }
}

/// Line breaks in a text: LF, CRLF, or a lone CR.
fn line_breaks(bytes: &[u8]) -> u64 {
    let breaks = bytes.iter().enumerate().filter(|(at, byte)| match byte {
        b'\n' => true,
        b'\r' => bytes.get(at + 1) != Some(&b'\n'),
        _ => false,
    });
    breaks.count() as u64
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
