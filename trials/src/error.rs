//! One error for the whole tool: where, what, why, and what to do.

/// A refusal of some input. Shown as one sentence that starts with the place.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{place}: {what}. {cure}")]
pub struct Error {
    /// Where the fault is: `file:line:column`, a plot, or a field of the request.
    pub place: String,
    /// What was found and why it cannot be used, without a full stop.
    pub what: String,
    /// What to do about it, as a sentence.
    pub cure: String,
    /// Field of the request that is at fault, if one is: `alpha`, or `law.k` for one inside another.
    pub field: Option<String>,
}

impl Error {
    /// Builds an error from its place, fault and cure.
    pub fn new(place: impl Into<String>, what: impl Into<String>, cure: impl Into<String>) -> Self {
        Self {
            place: place.into(),
            what: what.into(),
            cure: cure.into(),
            field: None,
        }
    }

    /// An error in a field of the request, which is also its place.
    pub fn in_field(
        field: impl Into<String>,
        what: impl Into<String>,
        cure: impl Into<String>,
    ) -> Self {
        let field = field.into();
        Self {
            field: Some(field.clone()),
            ..Self::new(field, what, cure)
        }
    }
}

impl From<halfgreen_analysis::Error> for Error {
    fn from(inner: halfgreen_analysis::Error) -> Self {
        let what = format!("found {}, but {}", inner.found, inner.accepted);
        Self::new(inner.what, what, inner.next)
    }
}
