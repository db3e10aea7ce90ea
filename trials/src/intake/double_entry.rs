//! The same counted by two people, or entered twice: held against each other cell by cell.

use super::Observation;
use super::row::Sheet;
use crate::table::{Cause, Cell, Complaint, Problem, Rule};
use crate::text::rounding::figure;

/// Whether two lines for the same are two entries of it, and no slip: they stand in two files, or name two counters.
pub(super) fn two_entries(first: &Observation, again: &Observation) -> bool {
    let named = |o: &Observation| o.counter.as_ref().map(|c| c.to_lowercase());
    let counters = named(first).zip(named(again));
    first.source != again.source || counters.is_some_and(|(one, other)| one != other)
}

/// Holds a second entry against the first, whose file and line are given in words. Equal ones are one count: what only one
/// of them says is kept. Of unequal ones neither is chosen.
///
/// # Errors
/// Every cell in which they do not agree, in one complaint.
pub(super) fn compared(
    first: &mut Observation,
    there: &str,
    again: &Observation,
    sheet: &Sheet<'_>,
    row: &[Cell],
) -> Result<Problem, Problem> {
    let mut unlike = Vec::new();
    if first.count != again.count {
        unlike.push(("count", first.count.to_string(), again.count.to_string()));
    }
    if first.area_m2 != again.area_m2 {
        let shown = [first.area_m2, again.area_m2].map(figure);
        let [one, other] = shown;
        unlike.push(("area_m2", one, other));
    }
    if let (Some(one), Some(other)) = (first.date, again.date)
        && one != other
    {
        unlike.push(("date", one.to_string(), other.to_string()));
    }
    let same = format!(
        "plot {}, sample {}, occasion \"{}\"",
        again.plot, again.sample, again.occasion
    );
    let Some((column, ..)) = unlike.first() else {
        keep_both(first, again);
        let agree = Complaint::note(format!(
            "{same} stands in {there} as well, and the two agree: they are one count"
        ));
        let cell = sheet.cell(row, "count").or(row.first());
        let told = Problem::new(&sheet.table.file, cell, Rule::EnteredTwice, agree);
        return Ok(told.of_cause(Cause::Agreement));
    };
    let cell = sheet.cell(row, column).or(sheet.cell(row, "count"));
    let cells: Vec<String> = unlike
        .iter()
        .map(|(name, one, other)| format!("{name} is {other} here and {one} there"))
        .collect();
    let differ = Complaint::new(
        format!("{same} stands in {there} as well: {}", cells.join(", ")),
        "Look at what was written in the field and correct the wrong one, or take its line out; neither is chosen for you.",
    );
    Err(Problem::new(
        &sheet.table.file,
        cell,
        Rule::CountsDiffer,
        differ,
    ))
}

/// What only one of two equal entries says.
fn keep_both(first: &mut Observation, again: &Observation) {
    first.date = first.date.or(again.date);
    first.counted_at = first.counted_at.take().or_else(|| again.counted_at.clone());
    let both = |one: Option<String>, other: &Option<String>| match (one, other) {
        (Some(one), Some(other)) if one != *other => Some(format!("{one}; {other}")),
        (one, other) => one.or_else(|| other.clone()),
    };
    first.counter = both(first.counter.take(), &again.counter);
    first.note = both(first.note.take(), &again.note);
}
