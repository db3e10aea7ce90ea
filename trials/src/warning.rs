//! What the reader must know although the work was done.

use halfgreen_analysis::results::Caution;
use serde::Serialize;

use crate::table::{Problem, Rule};

/// Something to know about an input or a result that stands.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Warning {
    /// A short fixed name, for programs.
    pub code: &'static str,
    /// One plain sentence, for people.
    pub message: String,
    /// Where it was found: `file:line:column`, a plot, or nothing in particular.
    #[serde(rename = "where")]
    pub place: Option<String>,
}

/// Warnings that tell a program why a number is null; people see that the figure is not there.
const OF_NULLS: [&str; 2] = ["plain-fit-without-k", "efficacy-without-value"];

impl Warning {
    /// Whether people should read it.
    #[must_use]
    pub fn for_people(&self) -> bool {
        !OF_NULLS.contains(&self.code)
    }

    /// A warning about a place.
    pub fn at(code: &'static str, message: impl Into<String>, place: impl Into<String>) -> Self {
        Self {
            code,
            message: message.into(),
            place: Some(place.into()),
        }
    }
}

/// What should be known of a table that can be read.
impl From<Problem> for Warning {
    fn from(problem: Problem) -> Self {
        let code = match problem.rule {
            Rule::NotCounted => "not-counted",
            _ => "column-not-read",
        };
        Self::at(code, problem.complaint.to_string(), problem.place())
    }
}

impl From<Caution> for Warning {
    fn from(caution: Caution) -> Self {
        Self {
            code: caution.code,
            message: caution.message,
            place: None,
        }
    }
}
