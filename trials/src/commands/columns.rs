//! Columns that a request names and a table does not have: each is a fault of its field.

use super::Refusal;
use crate::Error;
use crate::table::RawTable;

/// Refuses a column that is named for two things: it cannot be both.
///
/// # Errors
/// One for each field that names the column of an earlier one.
pub(super) fn named_once(named: &[(&str, Option<&str>)]) -> Result<(), Vec<Error>> {
    let given = named
        .iter()
        .filter_map(|(field, name)| Some((field, (*name)?.trim().to_lowercase())));
    let given: Vec<_> = given.filter(|(_, name)| !name.is_empty()).collect();
    let faults: Vec<Error> = given
        .iter()
        .enumerate()
        .filter_map(|(at, (field, name))| {
            let (first, _) = given[..at].iter().find(|(_, earlier)| earlier == name)?;
            let what = format!("the column {name} is named for `{first}` already");
            Some(Error::in_field(**field, what, "Name another column."))
        })
        .collect();
    if faults.is_empty() {
        Ok(())
    } else {
        Err(faults)
    }
}

/// The refusal of a table: if columns are missing all of them, each with the field that names it, else its own faults.
pub(super) fn refused<E: Into<Error>>(
    faults: Vec<E>,
    (file, text): (&str, &str),
    named: &[(&str, Option<&str>)],
) -> Refusal {
    let Ok(table) = RawTable::read_head(file, text) else {
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
