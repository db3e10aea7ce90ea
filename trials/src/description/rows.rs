//! A table of counts as the rows that are described.

use super::describe::Row;
use crate::Warning;
use crate::table::{Complaint, Problem, Problems, RawTable, Rule};

/// Which columns of a table are described.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct DescribedColumns {
    /// Counts.
    pub count: String,
    /// Units with that count, where the table holds frequencies.
    pub frequency: Option<String>,
    /// Columns whose values together name a group.
    pub groups: Vec<String>,
}

/// Reads the rows to describe from a table's text; `file` is its name in complaints.
///
/// Rows whose count or frequency is blank are left out, with a warning for each.
///
/// # Errors
/// Every missing column and unreadable cell at once.
pub fn read_rows(
    file: &str,
    text: &str,
    columns: &DescribedColumns,
) -> Result<(Vec<Row>, Vec<Warning>), Vec<Problem>> {
    let (table, doubts) = RawTable::read_counts(file, text)?;
    let counts = table.counts(&columns.count);
    let frequencies = match &columns.frequency {
        Some(name) => table.counts(name),
        None => Ok(vec![Some(1); table.rows.len()]),
    };
    let groups: Vec<_> = columns
        .groups
        .iter()
        .map(|name| table.labels(name))
        .collect();
    let mut faults = Vec::new();
    let mut labels = Vec::with_capacity(groups.len());
    for group in groups {
        match group {
            Ok(found) => labels.push(found),
            Err(found) => faults.extend(found),
        }
    }
    let (counts, frequencies) = match (counts, frequencies) {
        (Ok(counts), Ok(frequencies)) if faults.is_empty() => (counts, frequencies),
        (counts, frequencies) => {
            faults.extend(counts.err().into_iter().flatten());
            faults.extend(frequencies.err().into_iter().flatten());
            return Err(faults);
        }
    };
    let mut rows = Vec::with_capacity(counts.len());
    let mut left_out = Problems::default();
    for (at, pair) in counts.into_iter().zip(frequencies).enumerate() {
        if let (Some(count), Some(frequency)) = pair {
            let group = labels.iter().filter_map(|l| l.name(at)).map(str::to_owned);
            rows.push(Row {
                count,
                frequency,
                group: group.collect(),
            });
        } else {
            let cell = table.rows[at].first();
            let blank = Complaint::note(
                "no count is written: the line is left out, which is not the same as zero",
            );
            left_out.push(Problem::new(file, cell, Rule::NotCounted, blank));
        }
    }
    let told = doubts.into_iter().chain(left_out.into_list());
    Ok((rows, told.map(Warning::from).collect()))
}
