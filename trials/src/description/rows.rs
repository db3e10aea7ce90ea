//! A table of counts as the rows that are described.

use std::collections::BTreeMap;

use super::describe::Row;
use crate::Warning;
use crate::intake::{Names, Values};
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

/// Reads the rows to describe from a table's text; `file` is its name in complaints. Lines of one group and count become one
/// row, in the order of the groups and counts, so that a table may have millions of them.
///
/// Lines whose count or frequency is blank are left out, with a warning for each.
///
/// # Errors
/// Every missing column and unreadable cell at once.
pub fn read_rows(
    file: &str,
    text: &str,
    columns: &DescribedColumns,
) -> Result<(Vec<Row>, Vec<Warning>), Vec<Problem>> {
    let mut gathering = Gathering::of(columns);
    let doubts = RawTable::read_counts_in_parts(file, text, |part| gathering.take(&part))?;
    let mut faults = Vec::new();
    let mut groups = Vec::new();
    for names in gathering.groups {
        match names.whole(file) {
            Ok(named) => groups.push(named.labels.levels),
            Err(found) => faults.extend(found),
        }
    }
    faults.extend(gathering.counts.whole().err().into_iter().flatten());
    let frequencies = gathering.frequencies.map(Values::whole);
    faults.extend(frequencies.and_then(Result::err).into_iter().flatten());
    if !faults.is_empty() {
        return Err(faults);
    }
    let name = |(levels, code): (&Vec<String>, &usize)| levels.get(*code).cloned();
    let of_group = |(codes, tally): (Vec<usize>, BTreeMap<u64, u64>)| {
        let group: Vec<String> = groups.iter().zip(&codes).filter_map(name).collect();
        tally.into_iter().map(move |(count, frequency)| Row {
            count,
            frequency,
            group: group.clone(),
        })
    };
    let rows = gathering.tallies.into_iter().flat_map(of_group).collect();
    let told = doubts.into_iter().chain(gathering.left_out.into_list());
    Ok((rows, told.map(Warning::from).collect()))
}

/// What is described, on its way from the parts of a table.
struct Gathering {
    counts: Values<Option<u64>>,
    frequencies: Option<Values<Option<u64>>>,
    groups: Vec<Names>,
    /// For each group, by its codes, in how many units each count was found.
    tallies: BTreeMap<Vec<usize>, BTreeMap<u64, u64>>,
    left_out: Problems,
}

impl Gathering {
    fn of(columns: &DescribedColumns) -> Self {
        Self {
            counts: Values::of(&columns.count),
            frequencies: columns.frequency.as_deref().map(Values::of),
            groups: columns.groups.iter().map(|name| Names::of(name)).collect(),
            tallies: BTreeMap::new(),
            left_out: Problems::default(),
        }
    }

    fn take(&mut self, part: &RawTable) {
        let rows = part.rows.len();
        self.counts.take_counts(part);
        let counts = self.counts.taken();
        let frequencies = match &mut self.frequencies {
            Some(column) => {
                column.take_counts(part);
                column.taken()
            }
            None => vec![Some(1); rows],
        };
        let mut codes = Vec::with_capacity(self.groups.len());
        for names in &mut self.groups {
            names.take(part);
            codes.push(names.taken());
        }
        let whole = counts.len() == rows && frequencies.len() == rows;
        if !whole || codes.iter().any(|c| c.len() < rows) {
            // Some cell is at fault, and nothing will be described.
            return;
        }
        let mut group = vec![0; codes.len()];
        for (at, pair) in counts.into_iter().zip(frequencies).enumerate() {
            if let (Some(count), Some(frequency)) = pair {
                for (code, column) in group.iter_mut().zip(&codes) {
                    *code = column[at];
                }
                self.tally(&group, count, frequency);
            } else {
                let cell = part.rows[at].first();
                let blank = Complaint::note(
                    "no count is written: the line is left out, which is not the same as zero",
                );
                self.left_out
                    .push(Problem::new(&part.file, cell, Rule::NotCounted, blank));
            }
        }
    }

    fn tally(&mut self, group: &[usize], count: u64, frequency: u64) {
        if let Some(tally) = self.tallies.get_mut(group) {
            let units = tally.entry(count).or_default();
            *units = units.saturating_add(frequency);
        } else {
            let tally = BTreeMap::from([(count, frequency)]);
            self.tallies.insert(group.to_vec(), tally);
        }
    }
}
