//! A request as a JSON document: read with the field in every complaint, checked for what must be given.

use std::path::{Path, PathBuf};

use serde::de::DeserializeOwned;
use serde_json::Value;

use crate::Error;

/// Reads a request; what it leaves out is as usual.
///
/// # Errors
/// A field that the command does not have, or a value of another kind than the field's.
pub fn read_request<R: DeserializeOwned>(request: Value) -> Result<R, Error> {
    serde_path_to_error::deserialize(request).map_err(|e| {
        let cure = "Look the command's request up in the documentation.";
        let (field, what) = (e.path().to_string(), e.inner().to_string());
        match field.as_str() {
            "." => Error::new("request", what, cure),
            _ => Error::in_field(field, what, cure),
        }
    })
}

/// A value that may be left empty in a form, though the command cannot do without it.
pub(super) trait Given {
    /// Whether nothing is given.
    fn is_missing(&self) -> bool;
}

impl Given for String {
    fn is_missing(&self) -> bool {
        self.is_empty()
    }
}

impl Given for PathBuf {
    fn is_missing(&self) -> bool {
        *self == Path::new("")
    }
}

/// Refuses a request in which a field is empty that must not be; all such fields at once.
pub(super) fn required(fields: &[(&str, &dyn Given)]) -> Result<(), Vec<Error>> {
    let missing = fields.iter().filter(|(_, value)| value.is_missing());
    let faults: Vec<Error> = missing
        .map(|(field, _)| Error::in_field(*field, "it is not given", "Give it."))
        .collect();
    if faults.is_empty() {
        Ok(())
    } else {
        Err(faults)
    }
}
