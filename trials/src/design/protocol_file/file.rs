//! The file as a whole: its sections and lists of sections.

use toml::Spanned;
use toml::de::{DeTable, DeValue, Error as Fault};

use super::section::{Reading, Section};
use crate::design::dates::read_date;
use crate::text::spelling::offer;

const SECTIONS: [&str; 18] = [
    "trial",
    "setting",
    "treatment",
    "factor",
    "green",
    "design",
    "plot",
    "response",
    "occasion",
    "decision",
    "sheet",
    "roll",
    "wind",
    "ballast",
    "crew",
    "place",
    "cost",
    "reporting",
];

/// A parsed trial file.
#[derive(Debug)]
pub(crate) struct TrialFile<'a> {
    root: &'a DeTable<'a>,
}

impl<'a> TrialFile<'a> {
    /// Wraps a parsed trial file, complaining of sections that are not known.
    pub(crate) fn new(root: &'a DeTable<'a>, reading: &mut Reading<'_>) -> Self {
        Self::with_sections(root, &SECTIONS, "a trial file", reading)
    }

    /// Wraps a parsed file of these sections; `what` is such a file.
    pub(crate) fn with_sections(
        root: &'a DeTable<'a>,
        sections: &[&str],
        what: &str,
        reading: &mut Reading<'_>,
    ) -> Self {
        for (key, _) in root {
            let word = key.get_ref().as_ref();
            if !sections.contains(&word) {
                let what = format!("there is no section `{word}` in {what}");
                reading.refuse(key.span().start, what, offer(word, sections));
            }
        }
        Self { root }
    }

    fn entry(&self, name: &str) -> Option<(usize, &'a Spanned<DeValue<'a>>)> {
        let (key, value) = self.root.iter().find(|(k, _)| k.get_ref() == name)?;
        Some((key.span().start, value))
    }

    /// A `[section]`; absent ones come back empty, placed at the file's first line.
    pub(crate) fn section(&self, name: &str, reading: &mut Reading<'_>) -> Section<'a> {
        let bracketed = format!("[{name}]");
        let Some((at, value)) = self.entry(name) else {
            return Section {
                name: bracketed,
                at: 0,
                table: None,
            };
        };
        let table = value.get_ref().as_table();
        if table.is_none() {
            let what = format!("`{name}` must be one section");
            reading.refuse(
                at,
                what,
                format!("Head it {bracketed}, once, with its keys below."),
            );
        }
        Section {
            name: bracketed,
            at,
            table,
        }
    }

    /// Every line that holds a setting, as "[section] key", each once, in file order.
    pub(crate) fn lines(&self) -> Vec<String> {
        let mut all: Vec<(usize, String)> = Vec::new();
        for (section, value) in self.root {
            let name = section.get_ref();
            let (heading, tables) = match value.get_ref() {
                DeValue::Table(table) => (format!("[{name}]"), vec![table]),
                DeValue::Array(list) => {
                    let tables = list.iter().filter_map(|item| item.get_ref().as_table());
                    (format!("[[{name}]]"), tables.collect())
                }
                _ => continue,
            };
            for (key, _) in tables.into_iter().flatten() {
                all.push((key.span().start, format!("{heading} {}", key.get_ref())));
            }
        }
        all.sort();
        let mut lines: Vec<String> = Vec::with_capacity(all.len());
        for (_, line) in all {
            if !lines.contains(&line) {
                lines.push(line);
            }
        }
        lines
    }

    /// All sections `[[name]]`, in file order.
    pub(crate) fn list(&self, name: &str, reading: &mut Reading<'_>) -> Vec<Section<'a>> {
        let Some((at, value)) = self.entry(name) else {
            return Vec::new();
        };
        let bracketed = format!("[[{name}]]");
        let items = value.get_ref().as_array().map(|a| a.iter());
        let sections: Vec<Section<'a>> = items
            .into_iter()
            .flatten()
            .filter_map(|item| {
                Some(Section {
                    name: bracketed.clone(),
                    at: item.span().start,
                    table: Some(item.get_ref().as_table()?),
                })
            })
            .collect();
        if sections.is_empty() {
            let what = format!("`{name}` must be a list of sections");
            reading.refuse(
                at,
                what,
                format!("Head each one {bracketed}, with double brackets."),
            );
        }
        sections
    }
}

/// Turns a fault of TOML's grammar into a complaint, in the words of dates and numbers where it is
/// about one.
pub(crate) fn complain_of_grammar(fault: &Fault, reading: &mut Reading<'_>) {
    let at = fault.span().map_or(0, |s| s.start);
    let (what, cure) = mistyped_value(line_at(reading.text, at)).unwrap_or_else(|| {
        let message = fault.message().trim().replace('\n', ", ");
        (
            format!("this line cannot be read ({message})"),
            "Mend this line first: the rest of the file is read only when every line follows TOML."
                .to_owned(),
        )
    });
    reading.refuse(at, what, cure);
}

/// The line in which a byte stands.
fn line_at(text: &str, at: usize) -> &str {
    let start = text
        .get(..at)
        .and_then(|before| before.rfind('\n'))
        .map_or(0, |n| n + 1);
    text[start..].lines().next().unwrap_or_default()
}

/// What is wrong with a date or a decimal comma written without quotation marks.
fn mistyped_value(line: &str) -> Option<(String, String)> {
    let (key, value) = line.split_once('=')?;
    let (key, value) = (key.trim(), value.split('#').next()?.trim());
    let pointed = value.replacen(',', ".", 1);
    if value.contains(',') && pointed.parse::<f64>().is_ok() {
        let what = format!("`{key}` is {value}, with a comma where a decimal point belongs");
        return Some((what, format!("Write {pointed}.")));
    }
    if !value.starts_with(|c: char| c.is_ascii_digit()) || !value.contains(['-', '/']) {
        return None;
    }
    let fault = read_date(value).err()?;
    Some((format!("`{key}`: {}", fault.what), fault.cure))
}
