//! What a command that ran gives back.

use serde::Serialize;
use serde_json::Value;

use super::refusal::Refusal;
use super::words::Words;
use crate::store::NewFile;
use crate::text::names::escaped;
use crate::{Error, Warning};

/// What a command that ran gives back: values, of which nothing is printed or written yet.
#[derive(Debug, Clone, PartialEq)]
pub struct Answer<R = Value> {
    /// For programs: the `result` of the JSON document.
    pub result: R,
    /// For people.
    pub words: Words,
    /// Files to write, all or none.
    pub files: Vec<NewFile>,
    /// Files that are kept for other commands, all or none: where they cannot be, the answer stands and says so.
    /// An answer has these or `files`, not both.
    pub kept: Vec<NewFile>,
    /// What the reader must know, for people and programs.
    pub warnings: Vec<Warning>,
    /// The seed the result follows from, if it follows from one.
    pub seed: Option<u64>,
    /// Whether the input passed; a terminal ends with 1 if not.
    pub passed: bool,
}

impl<R: Serialize> Answer<R> {
    /// An answer that passed, without files, warnings or seed.
    pub fn new(result: R, words: Words) -> Self {
        Self {
            result,
            words,
            files: Vec::new(),
            kept: Vec::new(),
            warnings: Vec::new(),
            seed: None,
            passed: true,
        }
    }

    /// The same with files to write.
    #[must_use]
    pub fn with_files(mut self, files: Vec<NewFile>) -> Self {
        self.files.extend(files);
        self
    }

    /// The same with files that are kept for other commands.
    #[must_use]
    pub fn keeping(mut self, files: Vec<NewFile>) -> Self {
        self.kept.extend(files);
        self
    }

    /// That nothing was kept.
    pub fn not_kept(&mut self, fault: Error) {
        let names: Vec<String> = self.kept.iter().map(NewFile::shown).collect();
        let Error { what, cure, .. } = fault;
        let message = format!("nothing is kept in {}: {what}. {cure}", names.join(", "));
        self.warnings
            .push(Warning::at("not-kept", message, fault.place));
        self.kept.clear();
    }

    /// The same with warnings.
    #[must_use]
    pub fn with_warnings(mut self, warnings: Vec<Warning>) -> Self {
        self.warnings.extend(warnings);
        self
    }

    /// The same with the seed that the result follows from.
    #[must_use]
    pub fn with_seed(mut self, seed: u64) -> Self {
        self.seed = Some(seed);
        self
    }

    /// The answer with its result as a JSON value, so that all commands give back the same type.
    ///
    /// # Errors
    /// Only for a result that JSON cannot hold, such as a map whose keys are no texts.
    pub fn as_json(self) -> Result<Answer, Refusal> {
        let result = serde_json::to_value(&self.result).map_err(|e| unwritable(&e))?;
        Ok(self.map(|_| result))
    }

    /// The answer with its result made into another.
    #[must_use]
    pub fn map<S>(self, of: impl FnOnce(R) -> S) -> Answer<S> {
        Answer {
            result: of(self.result),
            words: self.words,
            files: self.files,
            kept: self.kept,
            warnings: self.warnings,
            seed: self.seed,
            passed: self.passed,
        }
    }
}

/// The JSON document that every command writes.
#[derive(Debug, Serialize)]
struct Envelope<'a> {
    halfgreen: &'static str,
    command: &'a str,
    seed: Option<u64>,
    warnings: &'a [Warning],
    result: &'a Value,
    #[serde(skip_serializing_if = "<[_]>::is_empty")]
    errors: &'a [Fault<'a>],
}

/// An error, for programs.
#[derive(Debug, Serialize)]
struct Fault<'a> {
    #[serde(rename = "where")]
    place: &'a str,
    what: &'a str,
    cure: &'a str,
    #[serde(skip_serializing_if = "Option::is_none")]
    field: Option<&'a str>,
}

impl<'a> From<&'a Error> for Fault<'a> {
    fn from(e: &'a Error) -> Self {
        Self {
            place: &e.place,
            what: &e.what,
            cure: &e.cure,
            field: e.field.as_deref(),
        }
    }
}

impl<R: Serialize> Answer<R> {
    /// The JSON document of the answer, for programs and to be kept. Its keys stand in the order of the alphabet.
    ///
    /// # Errors
    /// Only for a result that JSON cannot hold.
    pub fn document(&self, command: &str) -> Result<String, Error> {
        let result = serde_json::to_value(&self.result).map_err(|e| unwritable(&e))?;
        document(&Envelope {
            halfgreen: env!("CARGO_PKG_VERSION"),
            command,
            seed: self.seed,
            warnings: &self.warnings,
            result: &result,
            errors: &[],
        })
    }
}

impl Refusal {
    /// The JSON document of a refusal.
    ///
    /// # Errors
    /// None that is known: texts can always be written.
    pub fn document(&self, command: &str) -> Result<String, Error> {
        let errors: Vec<_> = self.errors.iter().map(Fault::from).collect();
        document(&Envelope {
            halfgreen: env!("CARGO_PKG_VERSION"),
            command,
            seed: None,
            warnings: &[],
            result: &Value::Null,
            errors: &errors,
        })
    }
}

fn document(envelope: &Envelope<'_>) -> Result<String, Error> {
    let text = serde_json::to_string_pretty(envelope).map_err(|e| unwritable(&e))?;
    Ok(escaped(text) + "\n")
}

fn unwritable(e: &serde_json::Error) -> Error {
    Error::new(
        "result",
        format!("the result cannot be written as JSON ({e})"),
        "This is a fault of the program: please report the command and its input.",
    )
}
