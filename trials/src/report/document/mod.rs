//! A report before anyone decides how it is shown: sections of paragraphs, lists, tables and figures.
//!
//! | file | what it makes of it |
//! |---|---|
//! | `html` | the body of a page |
//! | `markdown` | a text for whoever writes on in an editor |
//!
//! Both say the same in the same order, because both are made from the same values.

mod html;
mod markdown;

pub(super) use html::{body, table_shown};
pub(super) use markdown::markdown;

use super::page::Column;

/// A whole report.
#[derive(Debug, Clone)]
pub(super) struct Document {
    /// Its title.
    pub(super) title: String,
    /// What stands below the title.
    pub(super) lead: String,
    /// Its sections, in reading order.
    pub(super) sections: Vec<Section>,
    /// What made it.
    pub(super) footer: String,
}

/// What a section is, so that it can be told apart by eye.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Role {
    /// One like others.
    Plain,
    /// A verdict.
    Verdict,
    /// What may hurt someone.
    Caution,
    /// Holds further sections for those who want to know more.
    Appendix,
}

/// A heading and what stands below it.
#[derive(Debug, Clone)]
pub(super) struct Section {
    /// Its name within the page.
    pub(super) id: String,
    pub(super) heading: String,
    pub(super) role: Role,
    pub(super) parts: Vec<Part>,
    /// Sections within it, after its own parts.
    pub(super) within: Vec<Section>,
}

/// Something that stands in a section.
#[derive(Debug, Clone)]
pub(super) enum Part {
    Paragraph(Text),
    List(Vec<Text>),
    Table(Table),
    /// Names with values, the few that count: large.
    Facts(Vec<(String, String)>),
    /// Names with values, many of them.
    Record(Vec<(String, Text)>),
    /// All figures of this name.
    Figure(&'static str),
    /// A line to type, or a text to copy letter by letter.
    AsTyped(String),
}

/// Rows and columns. The first cell of a row heads it.
#[derive(Debug, Clone)]
pub(super) struct Table {
    pub(super) caption: String,
    pub(super) columns: Vec<(String, Side)>,
    pub(super) rows: Vec<Vec<String>>,
}

/// Side on which the cells of a column stand in line.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Side {
    /// Words.
    Left,
    /// Figures.
    Right,
}

/// Words, some of which are names of files, keys or commands.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub(super) struct Text(pub(super) Vec<Span>);

/// A piece of text.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Span {
    Words(String),
    /// As it stands in a file or is typed.
    Code(String),
    /// Words that lead to the section of this name.
    Link(&'static str, String),
}

impl Section {
    pub(super) fn new(id: &str, heading: impl Into<String>) -> Self {
        Self {
            id: id.to_owned(),
            heading: heading.into(),
            role: Role::Plain,
            parts: Vec::new(),
            within: Vec::new(),
        }
    }

    pub(super) fn of_role(mut self, role: Role) -> Self {
        self.role = role;
        self
    }

    pub(super) fn push(&mut self, part: Part) {
        self.parts.push(part);
    }

    /// The same with a paragraph below; nothing is added where it is empty.
    pub(super) fn paragraph(mut self, text: impl Into<Text>) -> Self {
        let text = text.into();
        if !text.is_empty() {
            self.parts.push(Part::Paragraph(text));
        }
        self
    }

    /// The same with each text as a paragraph.
    pub(super) fn paragraphs<T: Into<Text>>(self, texts: impl IntoIterator<Item = T>) -> Self {
        texts.into_iter().fold(self, Self::paragraph)
    }

    /// The same with a list below; nothing is added where it is empty.
    pub(super) fn list<T: Into<Text>>(mut self, entries: impl IntoIterator<Item = T>) -> Self {
        let entries: Vec<Text> = entries.into_iter().map(Into::into).collect();
        if !entries.is_empty() {
            self.parts.push(Part::List(entries));
        }
        self
    }

    /// The same with a table below; nothing is added where it has no rows.
    pub(super) fn table(
        mut self,
        caption: &str,
        columns: &[Column<'_>],
        rows: Vec<Vec<String>>,
    ) -> Self {
        if !rows.is_empty() {
            self.parts
                .push(Part::Table(Table::new(caption, columns, rows)));
        }
        self
    }

    /// The same with the figures of a name below.
    pub(super) fn figure(mut self, name: &'static str) -> Self {
        self.parts.push(Part::Figure(name));
        self
    }

    pub(super) fn record(mut self, rows: Vec<(String, Text)>) -> Self {
        if !rows.is_empty() {
            self.parts.push(Part::Record(rows));
        }
        self
    }

    pub(super) fn typed(mut self, text: impl Into<String>) -> Self {
        self.parts.push(Part::AsTyped(text.into()));
        self
    }

    /// The same with sections within.
    pub(super) fn within(mut self, sections: impl IntoIterator<Item = Section>) -> Self {
        self.within.extend(sections);
        self
    }
}

impl Table {
    pub(super) fn new(caption: &str, columns: &[Column<'_>], rows: Vec<Vec<String>>) -> Self {
        let column = |c: &Column<'_>| match c {
            Column::Words(head) => ((*head).to_owned(), Side::Left),
            Column::Figures(head) => ((*head).to_owned(), Side::Right),
        };
        Self {
            caption: caption.to_owned(),
            columns: columns.iter().map(column).collect(),
            rows,
        }
    }
}

impl Text {
    fn is_empty(&self) -> bool {
        self.0.iter().all(|span| match span {
            Span::Words(words) => words.is_empty(),
            Span::Code(_) | Span::Link(..) => false,
        })
    }

    /// The same with words after it.
    pub(super) fn words(mut self, words: impl Into<String>) -> Self {
        self.0.push(Span::Words(words.into()));
        self
    }

    /// The same with something after it as it stands in a file.
    pub(super) fn code(mut self, code: impl Into<String>) -> Self {
        self.0.push(Span::Code(code.into()));
        self
    }

    /// The same with words after it that lead to a section.
    pub(super) fn link(mut self, id: &'static str, words: impl Into<String>) -> Self {
        self.0.push(Span::Link(id, words.into()));
        self
    }

    /// Words in which names of files, keys and commands stand between backticks.
    pub(super) fn marked(text: &str) -> Self {
        let pieces = text.split('`').enumerate();
        let spans = pieces.filter(|(_, piece)| !piece.is_empty());
        let span = |(i, piece): (usize, &str)| {
            if i % 2 == 1 {
                Span::Code(piece.to_owned())
            } else {
                Span::Words(piece.to_owned())
            }
        };
        Self(spans.map(span).collect())
    }
}

impl From<String> for Text {
    fn from(words: String) -> Self {
        Self(vec![Span::Words(words)])
    }
}

impl From<&str> for Text {
    fn from(words: &str) -> Self {
        words.to_owned().into()
    }
}
