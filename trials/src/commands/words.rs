//! What a command tells people, as data: a terminal lays it out in lines, a page in elements, nobody reads it back.

use serde::Serialize;

use crate::store::NewFile;

/// Everything a command tells people, part after part.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize)]
pub struct Words {
    /// The parts, in order; whoever shows them sets them apart.
    pub parts: Vec<Part>,
}

/// Something that belongs together.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Part {
    /// Sentences, each on a line of its own.
    Paragraph(Vec<Line>),
    /// A heading and the sentences under it.
    Section {
        /// What they are about.
        heading: String,
        /// The sentences.
        lines: Vec<Line>,
    },
    /// Rows and columns.
    Table(Table),
    /// A text that is shown letter by letter, such as the first lines of a file.
    AsWritten(String),
}

/// A sentence, or several, of which some words may say how things stand.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize)]
pub struct Line {
    /// Its words, one after another without a space between.
    pub spans: Vec<Span>,
}

/// Some words and how things stand with what they say.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Span {
    /// The words.
    pub text: String,
    /// How things stand; nothing in particular without it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub status: Option<Status>,
}

/// How things stand with what some words say.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Status {
    /// In order.
    Good,
    /// To be looked at.
    Doubtful,
    /// To be mended, or worse than the control.
    Bad,
}

/// Rows and columns.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize)]
pub struct Table {
    /// What the table shows, if that must be said.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub caption: Option<String>,
    /// The columns; without any head, no heads are shown.
    pub columns: Vec<Column>,
    /// The rows, a cell for each column.
    pub rows: Vec<Vec<Span>>,
}

/// A column of a table.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Column {
    /// What stands above it.
    pub head: String,
    /// Side on which its cells stand in line.
    pub side: Side,
}

/// Side on which the cells of a column stand in line.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Side {
    /// Words.
    Left,
    /// Numbers.
    Right,
}

impl Words {
    /// Adds a sentence to the last paragraph, or begins one with it.
    pub fn line(&mut self, line: impl Into<Line>) {
        match self.parts.last_mut() {
            Some(Part::Paragraph(lines)) => lines.push(line.into()),
            _ => self.paragraph([line]),
        }
    }

    /// Adds a sentence that begins with how things stand.
    pub fn told(&mut self, status: Status, what: impl Into<String>, rest: impl Into<String>) {
        self.line(Line::told(status, what, rest));
    }

    /// Adds a paragraph; none without sentences.
    pub fn paragraph<L: Into<Line>>(&mut self, lines: impl IntoIterator<Item = L>) {
        let lines: Vec<Line> = lines.into_iter().map(Into::into).collect();
        if !lines.is_empty() {
            self.parts.push(Part::Paragraph(lines));
        }
    }

    /// Adds a heading with sentences under it; neither without sentences.
    pub fn section<L: Into<Line>>(
        &mut self,
        heading: impl Into<String>,
        lines: impl IntoIterator<Item = L>,
    ) {
        let lines: Vec<Line> = lines.into_iter().map(Into::into).collect();
        if !lines.is_empty() {
            let heading = heading.into();
            self.parts.push(Part::Section { heading, lines });
        }
    }

    /// Adds a table; none without rows.
    pub fn table(&mut self, table: Table) {
        if !table.rows.is_empty() {
            self.parts.push(Part::Table(table));
        }
    }

    /// Adds a text that is shown letter by letter.
    pub fn as_written(&mut self, text: impl Into<String>) {
        self.parts.push(Part::AsWritten(text.into()));
    }

    /// Adds the names of the files that the answer holds; nothing where it holds none.
    pub fn written(&mut self, files: &[NewFile]) {
        self.section("Written:", files.iter().map(NewFile::shown));
    }

    /// Adds what other words say.
    pub fn append(&mut self, other: Words) {
        self.parts.extend(other.parts);
    }
}

impl Line {
    /// A sentence that begins with how things stand.
    pub fn told(status: Status, what: impl Into<String>, rest: impl Into<String>) -> Self {
        Self {
            spans: vec![Span::told(status, what), Span::from(rest.into())],
        }
    }
}

impl Span {
    /// Words that say how things stand.
    pub fn told(status: Status, text: impl Into<String>) -> Self {
        Self {
            text: text.into(),
            status: Some(status),
        }
    }
}

impl Table {
    /// A table whose columns have these heads, each on its side.
    #[must_use]
    pub fn new<const N: usize>(columns: [(&str, Side); N]) -> Self {
        let column = |(head, side): (&str, Side)| Column {
            head: head.to_owned(),
            side,
        };
        Self {
            columns: columns.into_iter().map(column).collect(),
            ..Self::default()
        }
    }

    /// The same with words above it.
    #[must_use]
    pub fn captioned(mut self, caption: impl Into<String>) -> Self {
        self.caption = Some(caption.into());
        self
    }

    /// Adds a column on the right.
    pub fn column(&mut self, head: impl Into<String>, side: Side) {
        let head = head.into();
        self.columns.push(Column { head, side });
    }

    /// The same without the column of this head.
    #[must_use]
    pub fn without(mut self, head: &str) -> Self {
        if let Some(at) = self.columns.iter().position(|c| c.head == head) {
            self.columns.remove(at);
            for row in self.rows.iter_mut().filter(|row| row.len() > at) {
                row.remove(at);
            }
        }
        self
    }

    /// Adds a row.
    pub fn row<S: Into<Span>>(&mut self, cells: impl IntoIterator<Item = S>) {
        self.rows.push(cells.into_iter().map(Into::into).collect());
    }
}

impl<T: Into<String>> From<T> for Span {
    fn from(text: T) -> Self {
        Self {
            text: text.into(),
            status: None,
        }
    }
}

impl<T: Into<String>> From<T> for Line {
    fn from(text: T) -> Self {
        Self {
            spans: vec![text.into().into()],
        }
    }
}
