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
    /// Plot, occasion, minutes and sample -> where it was first met, and whether its stage was told there.
    staged: BTreeMap<(String, String, u64, String), (Where, bool)>,
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

    /// Where the same sample was first met, if its stage is told in one of the two lines and not in the other: the two would be
    /// added up, though the line without may well mean the same animals.
    pub(super) fn told_otherwise(
        &mut self,
        place: &Place,
        sample: &str,
        at: Where,
    ) -> Option<Where> {
        let Place {
            plot,
            occasion,
            stage,
            minutes,
        } = place.clone();
        let told = stage.is_some();
        let of = (plot, occasion, minutes, sample.to_owned());
        let (first, first_told) = *self.staged.entry(of).or_insert((at, told));
        (first_told != told).then_some(first)
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

/// That the stage of a sample is told on one line and not on another.
pub(super) fn half_told(
    sheet: &Sheet<'_>,
    row: &[Cell],
    place: &Place,
    sample: &str,
    there: &str,
) -> Problem {
    let cell = sheet.cell(row, "stage").or(sheet.cell(row, "plot"));
    let Place { plot, occasion, .. } = place;
    let (here, other) = if place.stage.is_some() {
        ("is told here and", "not there")
    } else {
        ("is not told here and", "told there")
    };
    let half = Complaint::new(
        format!(
            "plot {plot}, sample {sample}, occasion \"{occasion}\" stands in {there} as well, and its stage {here} {other}: both would be \
             added up"
        ),
        "Write the stage on every line of the sample (larva, for example), or take out the line that says the same twice.",
    );
    Problem::new(&sheet.table.file, cell, Rule::RepeatedCount, half).of_cause(Cause::HalfTold)
}
