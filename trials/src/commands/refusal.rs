//! An input that cannot be used.

use crate::Error;

/// An input that cannot be used: everything that is wrong with it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Refusal {
    /// The faults, in the order of the input.
    pub errors: Vec<Error>,
}

impl<E: Into<Error>> From<E> for Refusal {
    fn from(error: E) -> Self {
        Self {
            errors: vec![error.into()],
        }
    }
}

impl<E: Into<Error>> From<Vec<E>> for Refusal {
    fn from(errors: Vec<E>) -> Self {
        Self {
            errors: errors.into_iter().map(Into::into).collect(),
        }
    }
}
