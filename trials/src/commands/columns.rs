//! Columns that a request names and a table does not have: each is a fault of its field.

use super::Refusal;
use crate::Error;
use crate::table::RawTable;

/// The refusal of a table: if columns are missing all of them, each with the field that names it, else its own faults.
pub(super) fn refused<E: Into<Error>>(
    faults: Vec<E>,
    (file, text): (&str, &str),
    named: &[(&str, Option<&str>)],
) -> Refusal {
    let Ok(table) = RawTable::read(file, text) else {
        return faults.into();
    };
    let named = named
        .iter()
        .filter_map(|(field, name)| Some((field, (*name)?)));
    let missing = named.filter_map(|(field, name)| {
        let absent = table.required(name).err()?;
        Some(Error {
            field: Some((*field).to_owned()),
            ..absent.into()
        })
    });
    let missing: Vec<Error> = missing.collect();
    if missing.is_empty() {
        faults.into()
    } else {
        missing.into()
    }
}
