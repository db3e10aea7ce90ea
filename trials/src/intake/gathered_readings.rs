//! Readings gathered line by line from one table or several.

use std::collections::BTreeMap;

use super::Reading;
use super::observation::IdleLines;
use super::row::Sheet;
use super::seen::{Place, Seen, Where, repeated};
use crate::design::ResponseKind;
use crate::ranges::tables::{PER_CENT, READING, SCORE};
use crate::table::{Cause, Cell, Complaint, Problem, Problems, Rule};

/// Readings, and all that is wrong or doubtful.
#[derive(Debug, Default)]
pub(super) struct GatheredReadings {
    pub(super) problems: Problems,
    readings: Vec<Reading>,
    seen: Seen,
    /// Where readings stand -> which reading that is.
    at: BTreeMap<Where, usize>,
    /// Lines without a reading, each with what it would be the reading of.
    blank: Vec<(Where, Place, String, Vec<Problem>)>,
    idle: IdleLines,
}

/// A row whose cells can be read.
enum Read {
    /// A reading.
    Reading(Place, Box<Reading>),
    /// What was not read, and that it was not.
    Blank(Place, String, Vec<Problem>),
}

impl GatheredReadings {
    /// Takes in a row of one of the sheets.
    pub(super) fn take(
        &mut self,
        sheets: &[Sheet<'_>],
        sheet: &Sheet<'_>,
        row: &[Cell],
        kind: ResponseKind,
    ) {
        let named = sheet.cell(row, "plot").map_or("", |c| &c.text);
        let here = (sheet.source, row.first().map_or(1, |c| c.line));
        let of_plot = |p: Problem| p.of_plot(named);
        match read(sheet, row, kind, &mut self.seen) {
            Ok(Read::Blank(place, sample, told)) => {
                let told = told.into_iter().map(of_plot).collect();
                self.blank.push((here, place, sample, told));
            }
            Ok(Read::Reading(place, reading)) => {
                match self.seen.meet(&place, &reading.sample, here) {
                    None => {
                        self.at.insert(here, self.readings.len());
                        self.readings.push(*reading);
                    }
                    Some(first) if first.0 == here.0 => {
                        let twice = repeated(sheet, row, &place, &reading.sample, first.1);
                        self.problems.push(of_plot(twice));
                    }
                    Some(first) => {
                        let told = self.again(sheets, first, &reading, (sheet, row));
                        self.problems.extend(told.map(of_plot));
                    }
                }
            }
            Err(found) => self.problems.extend(found.into_iter().map(of_plot)),
        }
    }

    /// The same place read in another file: one reading where the two agree.
    fn again(
        &mut self,
        sheets: &[Sheet<'_>],
        first: Where,
        again: &Reading,
        (sheet, row): (&Sheet<'_>, &[Cell]),
    ) -> Option<Problem> {
        let earlier = self.readings.get_mut(*self.at.get(&first)?)?;
        let there = format!("{}:{}", sheets[first.0].table.file, first.1);
        let same = format!(
            "plot {}, sample {}, occasion \"{}\" stands in {there} as well",
            again.plot, again.sample, again.occasion
        );
        let unlike = differences(earlier, again);
        let column = unlike.first().map_or("reading", |(name, ..)| name);
        let cell = sheet.cell(row, column).or(sheet.cell(row, "reading"))?;
        if unlike.is_empty() {
            keep_both(earlier, again);
            self.idle.twice.insert((again.source, again.line));
            let agree = Complaint::note(format!("{same}, and the two agree: they are one reading"));
            let told = sheet.problem(cell, Rule::EnteredTwice, agree);
            return Some(told.of_cause(Cause::Agreement));
        }
        let cells = unlike
            .iter()
            .map(|(name, one, other)| format!("{name} is {other} here and {one} there"));
        let cells: Vec<String> = cells.collect();
        let differ = Complaint::new(
            format!("{same}: {}", cells.join(", ")),
            "Look at what was written in the field and correct the wrong one, or take its line out; neither is chosen for you.",
        );
        Some(sheet.problem(cell, Rule::CountsDiffer, differ))
    }

    /// Tells what has no reading on any line.
    pub(super) fn tell_unread(&mut self) {
        for (here, place, sample, told) in std::mem::take(&mut self.blank) {
            if !self.seen.has(&place, &sample) {
                self.idle.uncounted.insert(here);
                self.seen.meet(&place, &sample, here);
                self.problems.extend(told);
            }
        }
    }

    /// What was gathered.
    pub(super) fn found(self) -> (Problems, Vec<Reading>, IdleLines) {
        (self.problems, self.readings, self.idle)
    }
}

/// The cells in which two entries of one reading do not agree: the first, then the other.
fn differences(first: &Reading, again: &Reading) -> Vec<(&'static str, String, String)> {
    let mut unlike = Vec::new();
    if first.value != again.value {
        unlike.push(("reading", first.value.to_string(), again.value.to_string()));
    }
    if let (Some(one), Some(other)) = (first.outside, again.outside)
        && one != other
    {
        unlike.push(("outside", one.to_string(), other.to_string()));
    }
    if let (Some(one), Some(other)) = (first.date, again.date)
        && one != other
    {
        unlike.push(("date", one.to_string(), other.to_string()));
    }
    unlike
}

/// What only one of two equal entries says.
fn keep_both(first: &mut Reading, again: &Reading) {
    first.date = first.date.or(again.date);
    first.note = match (first.note.take(), &again.note) {
        (Some(one), Some(other)) if one != *other => Some(format!("{one}; {other}")),
        (one, other) => one.or_else(|| other.clone()),
    };
}

/// Reads a whole row before giving up on it, so that all its complaints are made.
fn read(
    sheet: &Sheet<'_>,
    row: &[Cell],
    kind: ResponseKind,
    seen: &mut Seen,
) -> Result<Read, Vec<Problem>> {
    let (plot, occasion, date) = (sheet.plot(row), sheet.occasion(row), sheet.date(row));
    let value = number(sheet, row, "reading", kind);
    let outside = match kind {
        ResponseKind::Edge => number(sheet, row, "outside", kind).map(|o| o.map(Some)),
        _ => Ok(Some(None)),
    };
    let mut sample = Ok(String::new());
    let mut place = None;
    if let (Ok(plot), Ok(occasion)) = (&plot, &occasion) {
        let of = Place {
            plot: (*plot).to_owned(),
            occasion: (*occasion).to_owned(),
            stage: None,
            minutes: 0,
        };
        sample = seen.sample(sheet, row, &of);
        place = Some(of);
    }
    match (plot, occasion, date, value, outside, sample, place) {
        (Ok(plot), Ok(occasion), Ok(date), Ok(value), Ok(outside), Ok(sample), Some(place)) => {
            let (Some(value), Some(outside)) = (value, outside) else {
                let blank = [("reading", value.is_none()), ("outside", outside.is_none())];
                let not_read = blank.into_iter().filter(|(_, is)| *is);
                let told = not_read.filter_map(|(name, _)| not_read_under(sheet, row, name));
                return Ok(Read::Blank(place, sample, told.collect()));
            };
            let reading = Reading {
                plot: plot.to_owned(),
                sample,
                occasion: occasion.to_owned(),
                date,
                value,
                outside,
                note: sheet.optional(row, "note"),
                source: sheet.source,
                line: row.first().map_or(1, |c| c.line),
            };
            Ok(Read::Reading(place, Box::new(reading)))
        }
        (plot, occasion, date, value, outside, sample, _) => {
            let faults = [
                plot.err(),
                occasion.err(),
                date.err(),
                value.err(),
                outside.err(),
                sample.err(),
            ];
            let mut found: Vec<Problem> = faults.into_iter().flatten().collect();
            found.sort_by_key(|p| p.column);
            Err(found)
        }
    }
}

/// That nothing was read in a cell.
fn not_read_under(sheet: &Sheet<'_>, row: &[Cell], name: &str) -> Option<Problem> {
    let blank = format!("`{name}` is blank: it is taken as not read, which is not zero");
    let cell = sheet.cell(row, name)?;
    Some(sheet.problem(cell, Rule::NotCounted, Complaint::note(blank)))
}

/// A reading on the scale of its kind; `None` where the cell is blank.
fn number(
    sheet: &Sheet<'_>,
    row: &[Cell],
    name: &str,
    kind: ResponseKind,
) -> Result<Option<f64>, Problem> {
    let Some(cell) = sheet.cell(row, name).filter(|c| !c.text.is_empty()) else {
        return Ok(None);
    };
    let (scale, words) = match kind {
        ResponseKind::Score => (SCORE.start()..=SCORE.end(), "a score from 1 to 9"),
        ResponseKind::Cover => (
            PER_CENT.start()..=PER_CENT.end(),
            "a cover from 0 to 100 per cent",
        ),
        _ => (
            READING.start()..=READING.end(),
            "a number below a million million",
        ),
    };
    let number = sheet.table.number(&cell.text).filter(|x| scale.contains(x));
    number.map(Some).ok_or_else(|| {
        let unfit = Complaint::new(
            format!("\"{}\" is not {words}", cell.text),
            "Correct it, or leave it blank if it was not read.",
        );
        sheet.problem(cell, Rule::ImpossibleNumber, unfit)
    })
}
