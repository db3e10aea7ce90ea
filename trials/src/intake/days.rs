//! What was counted before the treatments were drawn.

use jiff::civil::Date;

use crate::Warning;
use crate::design::{BlockBy, Protocol, Role, Seal};
use crate::table::{Cell, RawTable, Rule};

/// A warning where counts of the main occasion or a later one are dated before the day of the seal: nobody can
/// have known then which plot would get what, or the draw was made with the counts in hand. `dated` gives
/// occasion, date and line of each count, `file` its name. Both days are as written; a seal's is in universal time.
#[must_use]
pub fn counted_before_sealed<'a>(
    file: &str,
    protocol: &Protocol,
    seal: &Seal,
    dated: impl IntoIterator<Item = (&'a str, Option<Date>, u64)>,
) -> Option<Warning> {
    let sealed: Date = seal.time.get(..10)?.parse().ok()?;
    let before = |name: &str| {
        let mut named = protocol.occasions.iter().filter(|o| o.name == name);
        named.any(|o| o.role == Role::Before)
    };
    let early: Vec<(Date, u64)> = dated
        .into_iter()
        .filter(|(occasion, _, _)| !before(occasion))
        .filter_map(|(_, date, line)| Some((date.filter(|d| *d < sealed)?, line)))
        .collect();
    let (first, line) = early.first()?;
    let lines = match early.len() {
        1 => "1 count is".to_owned(),
        n => format!("{n} counts are"),
    };
    Some(Warning::at(
        "counted-before-sealed",
        format!(
            "{lines} dated before the day on which the draw was sealed ({sealed}), the first {first}: treatments must be \
             drawn before anything is counted. If a date or the computer's clock was wrong, say so with the result"
        ),
        format!("{file}:{line}"),
    ))
}

/// How many lines of `counts.csv` hold a count or a reading that a new draw would come too late for. Where blocks
/// are formed from counts before treatment, those of that occasion are wanted first and not counted here. A file
/// that cannot be read as a table is taken as one line: nobody can say that nothing is in it.
#[must_use]
pub fn counted_already(file: &str, text: &str, protocol: &Protocol) -> usize {
    let table = match RawTable::read(file, text) {
        Ok(table) => table,
        Err(problems) => return usize::from(problems.iter().any(|p| p.rule != Rule::EmptyFile)),
    };
    let by_counts = protocol.design.arrangement.block_by == BlockBy::BeforeCounts;
    let wanted: Vec<String> = protocol
        .occasions
        .iter()
        .filter(|o| by_counts && o.role == Role::Before)
        .map(|o| o.name.to_lowercase())
        .collect();
    let occasion = table.position("occasion");
    let values = ["count", "reading", "inside", "outside"];
    let values: Vec<usize> = values.iter().filter_map(|n| table.position(n)).collect();
    let written = |row: &[Cell]| {
        let at = |column: usize| row.get(column).map_or("", |c| c.text.as_str());
        let first = occasion.map_or(String::new(), |c| at(c).to_lowercase());
        // Sheets that are still blank hold plots and samples, but no count.
        let filled = values.is_empty() || values.iter().any(|c| !at(*c).is_empty());
        filled && !wanted.contains(&first)
    };
    table.rows.iter().filter(|row| written(row)).count()
}
