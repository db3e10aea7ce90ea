//! One section of a trial file: typed values, each complaint with its place.

use jiff::civil::Date;
use toml::Spanned;
use toml::de::{DeString, DeTable, DeValue};

use crate::Error;
use crate::design::dates::read_date;
use crate::ranges::Range;
use crate::text::names::{NAME, SENTENCE, fault};
use crate::text::spelling::offer;

/// The file being read and what has been found wrong with it so far.
#[derive(Debug)]
pub(crate) struct Reading<'a> {
    pub(crate) file: &'a str,
    pub(crate) text: &'a str,
    /// Byte offset and complaint.
    pub(crate) complaints: Vec<(usize, Error)>,
}

impl Reading<'_> {
    /// `file:line:column` of a byte offset, both counted from 1, columns in characters.
    pub(crate) fn place(&self, offset: usize) -> String {
        let mut end = offset.min(self.text.len());
        while !self.text.is_char_boundary(end) {
            end -= 1;
        }
        let before = &self.text[..end];
        let line = before.matches('\n').count() + 1;
        let start = before.rfind('\n').map_or(0, |n| n + 1);
        let column = before[start..].chars().count() + 1;
        format!("{}:{line}:{column}", self.file)
    }

    pub(crate) fn refuse(
        &mut self,
        offset: usize,
        what: impl Into<String>,
        cure: impl Into<String>,
    ) {
        let place = self.place(offset);
        self.complaints
            .push((offset, Error::new(place, what, cure)));
    }
}

/// A table of the file, or the empty place where it should have been.
#[derive(Debug, Clone)]
pub(crate) struct Section<'a> {
    /// As written, with its brackets.
    pub(crate) name: String,
    /// Byte offset of its heading.
    pub(crate) at: usize,
    /// Its keys; `None` where the section is absent.
    pub(crate) table: Option<&'a DeTable<'a>>,
}

type Entry<'a> = (&'a Spanned<DeString<'a>>, &'a Spanned<DeValue<'a>>);

impl<'a> Section<'a> {
    /// Complains of every key that is not among `known`.
    pub(crate) fn only(&self, known: &[&str], reading: &mut Reading<'_>) {
        for (key, _) in self.table.into_iter().flatten() {
            let word = key.get_ref().as_ref();
            if !known.contains(&word) {
                let what = format!("`{word}` is not a key of {}", self.name);
                reading.refuse(key.span().start, what, offer(word, known));
            }
        }
    }

    fn entry(&self, key: &str) -> Option<Entry<'a>> {
        self.table?.iter().find(|(k, _)| k.get_ref() == key)
    }

    /// Whether the key is written here at all.
    pub(crate) fn has(&self, key: &str) -> bool {
        self.entry(key).is_some()
    }

    /// Where the key's value stands, or the section where it is absent.
    pub(crate) fn offset(&self, key: &str) -> usize {
        self.entry(key).map_or(self.at, |(_, v)| v.span().start)
    }

    /// Complains that a key is absent.
    pub(crate) fn missing(&self, key: &str, cure: &str, reading: &mut Reading<'_>) {
        let what = if self.table.is_some() {
            format!("{} has no `{key}`", self.name)
        } else {
            format!("there is no section {}, so no `{key}`", self.name)
        };
        reading.refuse(self.at, what, cure);
    }

    /// A sentence that is not blank.
    pub(crate) fn text(&self, key: &str, reading: &mut Reading<'_>) -> Option<String> {
        self.text_of(key, SENTENCE, reading)
    }

    /// A name.
    pub(crate) fn name(&self, key: &str, reading: &mut Reading<'_>) -> Option<String> {
        self.text_of(key, NAME, reading)
    }

    fn text_of(&self, key: &str, most: usize, reading: &mut Reading<'_>) -> Option<String> {
        let (_, value) = self.entry(key)?;
        match value.get_ref() {
            DeValue::String(s) if !s.trim().is_empty() => {
                let text = s.trim();
                if let Some((what, cure)) = fault(text, most) {
                    reading.refuse(value.span().start, format!("`{key}`: {what}"), cure);
                    return None;
                }
                Some(text.to_owned())
            }
            DeValue::String(_) => {
                reading.refuse(
                    value.span().start,
                    format!("`{key}` is blank"),
                    "Fill it in, or leave the line out.",
                );
                None
            }
            other => {
                let what = format!("`{key}` must be text in quotes, not {}", kind(other));
                reading.refuse(value.span().start, what, format!("Write {key} = \"...\"."));
                None
            }
        }
    }

    /// A number of a range.
    pub(crate) fn number(
        &self,
        key: &str,
        range: &Range,
        reading: &mut Reading<'_>,
    ) -> Option<f64> {
        let (_, value) = self.entry(key)?;
        let written = match value.get_ref() {
            DeValue::Float(f) => f.as_str(),
            DeValue::Integer(i) if i.radix() == 10 => i.as_str(),
            _ => "",
        };
        let Some(number) = written.parse().ok().filter(|x: &f64| x.is_finite()) else {
            let what = format!("`{key}` must be a number, not {}", kind(value.get_ref()));
            let cure = format!(
                "Write for example {key} = {:?}, without quotes, with a decimal point.",
                range.example
            );
            reading.refuse(value.span().start, what, cure);
            return None;
        };
        if !range.holds(number) {
            outside(key, written, range, value.span().start, reading);
            return None;
        }
        Some(number)
    }

    /// A whole number of a range.
    pub(crate) fn whole(&self, key: &str, range: &Range, reading: &mut Reading<'_>) -> Option<u64> {
        let (_, value) = self.entry(key)?;
        let written = match value.get_ref() {
            DeValue::Integer(i) if i.radix() == 10 => Some(i.as_str()),
            _ => None,
        };
        let Some(written) = written else {
            let what = format!("`{key}` must be a whole number {}", range.words());
            let cure = format!("Write for example {key} = {}.", range.example);
            reading.refuse(value.span().start, what, cure);
            return None;
        };
        let whole = written.parse().ok().filter(|n| range.holds_whole(*n));
        if whole.is_none() {
            outside(key, written, range, value.span().start, reading);
        }
        whole
    }

    /// A list of whole numbers of a range, at least one.
    pub(crate) fn wholes(
        &self,
        key: &str,
        range: &Range,
        reading: &mut Reading<'_>,
    ) -> Option<Vec<u64>> {
        let (_, value) = self.entry(key)?;
        let items = value.get_ref().as_array().map(|a| a.iter());
        let mut found = Vec::new();
        for item in items.into_iter().flatten() {
            let written = match item.get_ref() {
                DeValue::Integer(i) if i.radix() == 10 => i.as_str(),
                _ => "",
            };
            let Some(whole) = written.parse().ok().filter(|n| range.holds_whole(*n)) else {
                let what = format!("`{key}` must hold whole numbers {}", range.words());
                let cure = format!("Write for example {key} = [0, 3, 1].");
                reading.refuse(item.span().start, what, cure);
                return None;
            };
            found.push(whole);
        }
        if found.is_empty() {
            let what = format!("`{key}` must be a list of whole numbers, one for each core");
            let cure = format!("Write for example {key} = [0, 3, 1], with square brackets.");
            reading.refuse(value.span().start, what, cure);
            return None;
        }
        Some(found)
    }

    /// `true` or `false`.
    pub(crate) fn flag(&self, key: &str, reading: &mut Reading<'_>) -> Option<bool> {
        let (_, value) = self.entry(key)?;
        let flag = value.get_ref().as_bool();
        if flag.is_none() {
            let what = format!(
                "`{key}` must be true or false, not {}",
                kind(value.get_ref())
            );
            reading.refuse(
                value.span().start,
                what,
                format!("Write {key} = true, without quotes."),
            );
        }
        flag
    }

    /// A list of texts, each with its place.
    pub(crate) fn texts(&self, key: &str, reading: &mut Reading<'_>) -> Vec<(usize, String)> {
        let Some((_, value)) = self.entry(key) else {
            return Vec::new();
        };
        list_of_texts(key, value, reading)
    }

    /// A list of lists of texts.
    pub(crate) fn lists(&self, key: &str, reading: &mut Reading<'_>) -> Vec<Vec<(usize, String)>> {
        let lists = self.entry(key).map(|(_, v)| (v, v.get_ref().as_array()));
        match lists {
            None => Vec::new(),
            Some((_, Some(lists))) => lists
                .iter()
                .map(|l| list_of_texts(key, l, reading))
                .collect(),
            Some((value, None)) => list_of_texts(key, value, reading)
                .into_iter()
                .map(|t| vec![t])
                .collect(),
        }
    }

    /// A calendar date, quoted or not.
    pub(crate) fn date(&self, key: &str, reading: &mut Reading<'_>) -> Option<Date> {
        let (_, value) = self.entry(key)?;
        let written = match value.get_ref() {
            DeValue::String(s) => s.to_string(),
            DeValue::Datetime(d) if d.time.is_none() => d.to_string(),
            other => format!("{} where a date was expected", kind(other)),
        };
        read_date(&written)
            .map_err(|fault| {
                reading.refuse(
                    value.span().start,
                    format!("`{key}`: {}", fault.what),
                    fault.cure,
                );
            })
            .ok()
    }

    /// One of a few words.
    pub(crate) fn choice<T: Copy>(
        &self,
        key: &str,
        words: &[(&str, T)],
        reading: &mut Reading<'_>,
    ) -> Option<T> {
        let word = self.text(key, reading)?;
        let found = words.iter().find(|(w, _)| *w == word).map(|(_, t)| *t);
        if found.is_none() {
            let known: Vec<&str> = words.iter().map(|(w, _)| *w).collect();
            let what = format!(
                "`{key}` cannot be \"{word}\"; it is one of {}",
                known.join(", ")
            );
            reading.refuse(self.offset(key), what, offer(&word, &known));
        }
        found
    }
}

fn list_of_texts(
    key: &str,
    value: &Spanned<DeValue<'_>>,
    reading: &mut Reading<'_>,
) -> Vec<(usize, String)> {
    let items = value.get_ref().as_array().map(|a| a.iter());
    let texts: Vec<(usize, Option<&str>)> = items
        .into_iter()
        .flatten()
        .map(|i| (i.span().start, i.get_ref().as_str()))
        .collect();
    if texts.is_empty() || texts.iter().any(|(_, t)| t.is_none()) {
        let what = format!("`{key}` must be a list of texts");
        let cure = format!("Write {key} = [\"...\", \"...\"], with square brackets.");
        reading.refuse(value.span().start, what, cure);
    }
    for (at, text) in &texts {
        if let Some((what, cure)) = text.and_then(|text| fault(text, NAME)) {
            reading.refuse(*at, format!("`{key}`: {what}"), cure);
        }
    }
    texts
        .into_iter()
        .filter_map(|(at, t)| Some((at, t?.to_owned())))
        .collect()
}

/// Complains of a number outside its range, as it was written.
fn outside(key: &str, written: &str, range: &Range, at: usize, reading: &mut Reading<'_>) {
    let what = format!(
        "`{key}` is {written}, but must be {}: {}",
        range.words(),
        range.reason
    );
    reading.refuse(at, what, "Correct the figure.");
}

/// The sort of value, in plain words.
fn kind(value: &DeValue<'_>) -> &'static str {
    match value {
        DeValue::String(_) => "text in quotes",
        DeValue::Integer(_) => "a whole number",
        DeValue::Float(_) => "nan, infinity or a number too large to hold",
        DeValue::Boolean(_) => "true or false",
        DeValue::Datetime(_) => "a date or time",
        DeValue::Array(_) => "a list",
        DeValue::Table(_) => "a section",
    }
}
