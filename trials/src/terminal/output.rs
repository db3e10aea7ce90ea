//! What a command gives back.

use serde::Serialize;
use serde_json::Value;

use crate::commands::Refusal;
use crate::{Error, Warning};

/// What a command that ran gives back.
#[derive(Debug, Clone)]
pub(super) struct Output {
    /// For programs: the `result` of the JSON document.
    pub(super) result: Value,
    /// For people: text for standard output, with colours where they help.
    pub(super) text: String,
    /// What the reader must know, for people and programs.
    pub(super) warnings: Vec<Warning>,
    /// The seed the result follows from, if it follows from one.
    pub(super) seed: Option<u64>,
    /// Whether the input passed; the exit code is 1 if not.
    pub(super) passed: bool,
}

impl Output {
    /// An output that passed, without warnings or seed.
    ///
    /// # Errors
    /// Only for a result that JSON cannot hold, such as a map whose keys are no texts.
    pub(super) fn new(result: impl Serialize, text: impl Into<String>) -> Result<Self, Refusal> {
        let result = serde_json::to_value(result).map_err(|e| {
            let cure = "This is a fault of the program: please report the command and its input.";
            Error::new(
                "result",
                format!("the result cannot be written as JSON ({e})"),
                cure,
            )
        })?;
        Ok(Self {
            result,
            text: text.into(),
            warnings: Vec::new(),
            seed: None,
            passed: true,
        })
    }

    /// The same with warnings.
    pub(super) fn with_warnings(mut self, warnings: Vec<Warning>) -> Self {
        self.warnings.extend(warnings);
        self
    }
}
