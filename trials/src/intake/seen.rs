//! What was counted already: the same thing met again on another line, or in another file.

use std::collections::BTreeMap;

use super::row::Sheet;
use crate::table::{Cause, Cell, Complaint, Problem, Rule};

/// Plot, occasion, stage and minutes of a count.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Place {
    pub(super) plot: String,
    pub(super) occasion: String,
    pub(super) stage: Option<String>,
    pub(super) minutes: u64,
}

/// A file, from 0, and a line in it.
pub(super) type Where = (usize, u64);

/// Where counts were first met.
#[derive(Debug, Default)]
pub(super) struct Seen {
    /// Place and sample -> where.
    lines: BTreeMap<(Place, String), Where>,
    /// For each place, the file whose lines name no sample, and how many do not.
    unnamed: BTreeMap<Place, (usize, usize)>,
}

impl Seen {
    /// The sample that a row stands for: as written, else the next in turn.
    ///
    /// Without a sample number the lines of a plot are taken as its cores in turn, unless the plot has a single core: then all
    /// of them stand for that one.
    ///
    /// # Errors
    /// Lines without a number in two files: nobody can say which of them are of one core.
    pub(super) fn sample(
        &mut self,
        sheet: &Sheet<'_>,
        row: &[Cell],
        place: &Place,
    ) -> Result<String, Problem> {
        if let Some(written) = sheet.optional(row, "sample") {
            return Ok(written);
        }
        if sheet.cores_per_plot <= 1 {
            return Ok("1".to_owned());
        }
        let (file, turn) = self
            .unnamed
            .entry(place.clone())
            .or_insert((sheet.source, 0));
        if *file != sheet.source {
            let unnamed = Complaint::new(
                format!(
                    "plot {}, occasion \"{}\" has lines without a sample in another file as well, so that nobody can tell \
                     which of them are of one {}",
                    place.plot,
                    place.occasion,
                    sheet.sample.words()[0]
                ),
                "Number the samples in both files.",
            );
            let cell = sheet.cell(row, "sample").or(sheet.cell(row, "plot"));
            let problem = Problem::new(&sheet.table.file, cell, Rule::RepeatedCount, unnamed);
            return Err(problem.of_cause(Cause::Unnumbered));
        }
        loop {
            *turn += 1;
            let key = (place.clone(), turn.to_string());
            if !self.lines.contains_key(&key) {
                return Ok(key.1);
            }
        }
    }

    /// Where the same was met before; takes note of it if it was not.
    pub(super) fn meet(&mut self, place: &Place, sample: &str, at: Where) -> Option<Where> {
        let key = (place.clone(), sample.to_owned());
        if let Some(first) = self.lines.get(&key) {
            return Some(*first);
        }
        self.lines.insert(key, at);
        None
    }

    /// Whether the same was met.
    pub(super) fn has(&self, place: &Place, sample: &str) -> bool {
        self.lines.contains_key(&(place.clone(), sample.to_owned()))
    }
}

/// That the same stands on two lines of one file.
pub(super) fn repeated(
    sheet: &Sheet<'_>,
    row: &[Cell],
    place: &Place,
    sample: &str,
    first: u64,
) -> Problem {
    let cell = sheet.cell(row, "sample").or(sheet.cell(row, "plot"));
    let Place { plot, occasion, .. } = place;
    let twice = Complaint::new(
        format!(
            "plot {plot}, sample {sample}, occasion \"{occasion}\" stands on line {first} already"
        ),
        "Keep the right one, or give them different sample numbers.",
    );
    Problem::new(&sheet.table.file, cell, Rule::RepeatedCount, twice)
}
