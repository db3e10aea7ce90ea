//! Rows of counts read one after another, each held against those before it.

use std::collections::BTreeMap;

use super::Observation;
use super::double_entry::{compared, two_entries};
use super::limits;
use super::observation::IdleLines;
use super::row::Sheet;
use super::seen::{Place, Seen, Where, half_told, repeated};
use crate::table::{Cell, Complaint, Problem, Problems, Rule};

/// What is found while rows are read one after another.
#[derive(Debug, Default)]
pub(super) struct Gathered {
    pub(super) problems: Problems,
    pub(super) observations: Vec<Observation>,
    seen: Seen,
    /// Where counts stand -> which observation that is.
    at: BTreeMap<Where, usize>,
    /// Lines without a count, each with what it would be the count of.
    blank: Vec<(Where, Place, String, Problem)>,
    pub(super) idle: IdleLines,
}

/// What is wrong with a row, and what it would be the count of, where that can be told.
struct Faulty {
    found: Vec<Problem>,
    place: Option<Box<(Place, String)>>,
}

/// A row whose cells can be read.
enum Read {
    /// A count.
    Count(Place, Box<Observation>),
    /// What was not counted, and that it was not.
    Blank(Place, String, Problem),
}

impl Gathered {
    /// Takes in a row of one of the sheets.
    pub(super) fn take(&mut self, sheets: &[Sheet<'_>], sheet: &Sheet<'_>, row: &[Cell]) {
        let mut told = Vec::new();
        let read = read(sheet, row, &mut self.seen, &mut told);
        let named = sheet.cell(row, "plot").map_or("", |c| &c.text);
        let line = row.first().map_or(1, |c| c.line);
        let here = (sheet.source, line);
        match read {
            Ok(Read::Blank(place, sample, problem)) => {
                self.blank
                    .push((here, place, sample, problem.of_plot(named)));
            }
            Ok(Read::Count(place, observation)) => {
                self.problems
                    .extend(told.into_iter().map(|p| p.of_plot(named)));
                self.problems
                    .extend(limits::full_core(sheet, row, &observation));
                match self.seen.meet(&place, &observation.sample, here) {
                    None => {
                        let sample = &observation.sample;
                        if let Some((source, line)) = self.seen.told_otherwise(&place, sample, here)
                        {
                            let there = format!("{}:{line}", sheets[source].table.file);
                            let half = half_told(sheet, row, &place, sample, &there);
                            self.problems.push(half.of_plot(named));
                        }
                        self.at.insert(here, self.observations.len());
                        self.observations.push(*observation);
                    }
                    Some(first) => {
                        let found = self.again(sheets, first, &place, (sheet, row), &observation);
                        self.problems.extend(found.map(|p| p.of_plot(named)));
                    }
                }
            }
            Err(Faulty { mut found, place }) => {
                found.extend(told);
                // A line with a fault takes its place as well, so that another for the same is told of.
                if let Some((place, sample)) = place.map(|of| *of)
                    && let Some((source, first)) = self.seen.meet(&place, &sample, here)
                    && source == sheet.source
                {
                    found.push(repeated(sheet, row, &place, &sample, first));
                }
                found.sort_by_key(|p| p.column);
                self.problems
                    .extend(found.into_iter().map(|p| p.of_plot(named)));
            }
        }
    }

    /// Something that was met before, on another line or in another file.
    fn again(
        &mut self,
        sheets: &[Sheet<'_>],
        first: Where,
        place: &Place,
        (sheet, row): (&Sheet<'_>, &[Cell]),
        observation: &Observation,
    ) -> Option<Problem> {
        let earlier = self
            .at
            .get(&first)
            .and_then(|at| self.observations.get_mut(*at));
        match earlier {
            Some(earlier) if two_entries(earlier, observation) => {
                let there = format!("{}:{}", sheets[first.0].table.file, first.1);
                let agree = compared(earlier, &there, observation, sheet, row);
                if agree.is_ok() {
                    let here = (observation.source, observation.line);
                    self.idle.twice.insert(here);
                }
                Some(agree.unwrap_or_else(|differ| differ))
            }
            // The line in the other file has a fault of its own, which comes first.
            None if first.0 != sheet.source => None,
            _ => {
                let (sample, line) = (&observation.sample, first.1);
                Some(repeated(sheet, row, place, sample, line))
            }
        }
    }

    /// Tells what has no count on any line.
    pub(super) fn tell_uncounted(&mut self) {
        for (here, place, sample, problem) in std::mem::take(&mut self.blank) {
            if !self.seen.has(&place, &sample) {
                self.idle.uncounted.insert(here);
                self.seen.meet(&place, &sample, here);
                self.problems.push(problem);
            }
        }
    }
}

/// Reads a whole row before giving up on it, so that all its complaints are made; what is only doubtful goes to `told`.
fn read(
    sheet: &Sheet<'_>,
    row: &[Cell],
    seen: &mut Seen,
    told: &mut Vec<Problem>,
) -> Result<Read, Faulty> {
    let (plot, occasion) = (sheet.plot(row), sheet.occasion(row));
    let (count, area_m2) = (sheet.count(row), sheet.area_m2(row));
    let day = sheet.day(row, occasion.as_ref().ok().copied());
    let (stage, minutes, moment) = (sheet.stage(row), sheet.minutes(row), sheet.moment(row));
    let mut sample = Ok(String::new());
    let mut place = None;
    if let (Ok(plot), Ok(occasion), Ok((stage, _)), Ok(minutes)) =
        (&plot, &occasion, &stage, &minutes)
    {
        let of = Place {
            plot: (*plot).to_owned(),
            occasion: (*occasion).to_owned(),
            stage: stage.clone(),
            minutes: *minutes,
        };
        sample = seen.sample(sheet, row, &of);
        place = Some(of);
    }
    match (
        plot, occasion, count, day, area_m2, stage, minutes, moment, sample, place,
    ) {
        (
            Ok(plot),
            Ok(occasion),
            Ok(count),
            Ok((day, of_day)),
            Ok(area_m2),
            Ok((stage, of_stage)),
            Ok(minutes),
            Ok(moment),
            Ok(sample),
            Some(place),
        ) => {
            let Some(count) = count else {
                return Ok(Read::Blank(place, sample, not_counted(sheet, row)));
            };
            told.extend(of_day.into_iter().chain(of_stage));
            let (counted_at, day_of_moment) = moment.unzip();
            told.extend(sheet.two_days(row, day, day_of_moment));
            Ok(Read::Count(
                place,
                Box::new(Observation {
                    plot: plot.to_owned(),
                    sample,
                    occasion: occasion.to_owned(),
                    date: day.or(day_of_moment),
                    stage,
                    count,
                    area_m2,
                    minutes,
                    counted_at,
                    counter: sheet.optional(row, "counter"),
                    note: sheet.optional(row, "note"),
                    source: sheet.source,
                    line: row.first().map_or(1, |c| c.line),
                }),
            ))
        }
        (plot, occasion, count, day, area_m2, stage, minutes, moment, sample, place) => {
            let place = place.zip(sample.as_ref().ok().cloned()).map(Box::new);
            let faults = [
                plot.err(),
                occasion.err(),
                count.err(),
                day.err(),
                area_m2.err(),
                stage.err(),
                minutes.err(),
                moment.err(),
                sample.err(),
            ];
            Err(Faulty {
                found: faults.into_iter().flatten().collect(),
                place,
            })
        }
    }
}

/// That a row has no count.
fn not_counted(sheet: &Sheet<'_>, row: &[Cell]) -> Problem {
    let blank =
        Complaint::note("no count is written: the core is taken as not counted, which is not zero");
    let cell = sheet.cell(row, "count").or(row.first());
    Problem::new(&sheet.table.file, cell, Rule::NotCounted, blank)
}
