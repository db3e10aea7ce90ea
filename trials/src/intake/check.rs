//! Counts against protocol and layout: every complaint in one pass.

use std::collections::{BTreeMap, BTreeSet};

use super::limits;
use super::missing::missing;
use super::row::{COLUMNS, Sheet};
use super::{Check, CheckResult, CheckedCounts, Missing, Observation};
use crate::design::{Layout, Protocol, Role};
use crate::table::{Cell, Complaint, Problem, Problems, RawTable, Rule};
use crate::text::spelling::nearest;

/// Plot, occasion and stage of a count.
type Place = (String, String, Option<String>);

/// Where counts were first met.
#[derive(Debug, Default)]
pub(super) struct Seen {
    /// Place and sample -> line.
    lines: BTreeMap<(Place, String), u64>,
    /// For each place, how many of its lines name no sample.
    unnamed: BTreeMap<Place, usize>,
}

impl Seen {
    /// Number of the next sample of a place that is not met yet.
    fn turn(&mut self, place: &Place) -> String {
        let turn = self.unnamed.entry(place.clone()).or_default();
        loop {
            *turn += 1;
            let key = (place.clone(), turn.to_string());
            if !self.lines.contains_key(&key) {
                return key.1;
            }
        }
    }
}

/// Checks the text of `counts.csv`; `file` is its name in complaints.
///
/// Never fails: what is wrong is in the result, and the counts are handed over only when no problem
/// is an error.
#[must_use]
pub fn check_counts(file: &str, text: &str, protocol: &Protocol, layout: &Layout) -> Check {
    match RawTable::read_counts(file, text) {
        Ok((table, doubts)) => {
            let mut check = check_table(&table, protocol, protocol, layout);
            check.result.problems.splice(0..0, doubts);
            check
        }
        Err(problems) => refused(problems, layout),
    }
}

/// Checks a table that could be read. Occasions are those of `protocol`; what is missing is told
/// for those of `asked` alone.
pub(super) fn check_table(
    table: &RawTable,
    protocol: &Protocol,
    asked: &Protocol,
    layout: &Layout,
) -> Check {
    let sheet = Sheet::of(table, protocol, layout);
    let headings = columns(&sheet, &["plot", "count"], &COLUMNS);
    if headings.iter().any(Problem::is_error) {
        return refused(headings, layout);
    }
    let mut problems = Problems::default();
    problems.extend(headings);
    let mut seen = Seen::default();
    let mut observations = Vec::with_capacity(table.rows.len());
    for row in &table.rows {
        match observation(&sheet, row, &mut seen) {
            Ok(observation) => {
                problems.extend(limits::full_core(&sheet, row, &observation));
                observations.push(observation);
            }
            Err(found) => problems.extend(found),
        }
    }
    problems.extend(limits::larger_than_the_plot(&sheet, layout, &observations));
    // While lines are still to be mended, nobody can say what is missing.
    let mut absent = Vec::new();
    let mut problems_of_plots = Vec::new();
    if !problems.any_error() {
        (absent, problems_of_plots) = missing(table, &observations, asked, layout);
    }
    let mut problems = problems.into_list();
    problems.extend(problems_of_plots);
    finish(problems, absent, observations, protocol, layout)
}

pub(super) fn refused(problems: Vec<Problem>, layout: &Layout) -> Check {
    Check {
        result: CheckResult {
            plots: layout.names().len(),
            counted: 0,
            counts: 0,
            missing: Vec::new(),
            problems,
        },
        counts: None,
    }
}

fn finish(
    problems: Vec<Problem>,
    missing: Vec<Missing>,
    observations: Vec<Observation>,
    protocol: &Protocol,
    layout: &Layout,
) -> Check {
    // A plot of a crossover is counted when it is counted every night.
    let met: BTreeSet<(&str, &str)> = observations
        .iter()
        .map(|o| (o.plot.as_str(), o.occasion.as_str()))
        .collect();
    let on_main = |plot: &&str| {
        let mut mains = protocol.occasions.iter().filter(|o| o.role == Role::Main);
        mains.all(|main| met.contains(&(*plot, main.name.as_str())))
    };
    let plots = layout.names();
    let usable = !problems.iter().any(Problem::is_error);
    Check {
        result: CheckResult {
            plots: plots.len(),
            counted: plots.iter().filter(|p| on_main(p)).count(),
            counts: observations.len(),
            missing,
            problems,
        },
        counts: usable.then(|| CheckedCounts::new(observations)),
    }
}

/// Missing and unknown columns; where there are several occasions, the occasion is needed too.
pub(super) fn columns(sheet: &Sheet<'_>, needed: &[&str], known: &[&str]) -> Vec<Problem> {
    let mut needed = needed.to_vec();
    if sheet.occasions.len() > 1 {
        needed.push("occasion");
    }
    let mut problems: Vec<Problem> = needed
        .iter()
        .filter_map(|n| sheet.table.required(n).err())
        .collect();
    problems.extend(unknown_columns(sheet, known));
    problems
}

/// Columns that are not known: refused where a known one was meant, for then something written would go unread.
pub(super) fn unknown_columns(sheet: &Sheet<'_>, known: &[&str]) -> Vec<Problem> {
    let mut problems = Vec::new();
    for heading in &sheet.table.header {
        let name = heading.text.to_lowercase();
        if !name.is_empty() && !known.contains(&name.as_str()) {
            let near = nearest(&name, known.iter().copied());
            let cure = match near {
                Some(near) => format!(
                    "If {near} was meant, rename it; if not, give it a name less like that one."
                ),
                None => format!("Columns read are {}.", known.join(", ")),
            };
            let unknown = Complaint::new(format!("column `{}` is not read", heading.text), cure);
            let problem = sheet.problem(heading, Rule::UnknownColumn, unknown);
            problems.push(if near.is_some() {
                problem.refused()
            } else {
                problem
            });
        }
    }
    problems
}

/// Reads a whole row before giving up on it, so that all its complaints are made.
fn observation(
    sheet: &Sheet<'_>,
    row: &[Cell],
    seen: &mut Seen,
) -> Result<Observation, Vec<Problem>> {
    let plot = sheet.plot(row);
    let occasion = sheet.occasion(row);
    let count = sheet.count(row);
    let date = sheet.date(row);
    let area_m2 = sheet.area_m2(row);
    let stage = sheet.optional(row, "stage");
    let named = sheet.cell(row, "plot").map_or("", |c| &c.text);
    let mut problems = Vec::new();
    let mut sample = sheet.optional(row, "sample").unwrap_or_default();
    if let (Ok(plot), Ok(occasion)) = (&plot, &occasion) {
        match place_of(sheet, row, (plot, occasion), stage.as_ref(), seen) {
            Ok(found) => sample = found,
            Err(problem) => problems.push(problem),
        }
    }
    match (plot, occasion, count, date, area_m2) {
        (Ok(plot), Ok(occasion), Ok(Some(count)), Ok(date), Ok(area_m2)) if problems.is_empty() => {
            return Ok(Observation {
                plot: plot.to_owned(),
                sample,
                occasion: occasion.to_owned(),
                date,
                stage,
                count,
                area_m2,
                note: sheet.optional(row, "note"),
                line: row.first().map_or(1, |c| c.line),
            });
        }
        (plot, occasion, count, date, area_m2) => {
            if let (Ok(None), Some(cell)) = (&count, sheet.cell(row, "count")) {
                let blank = Complaint::note(
                    "no count is written: the core is taken as not counted, which is not zero",
                );
                problems.push(sheet.problem(cell, Rule::NotCounted, blank));
            }
            problems.extend(
                [
                    plot.err(),
                    occasion.err(),
                    count.err(),
                    date.err(),
                    area_m2.err(),
                ]
                .into_iter()
                .flatten(),
            );
        }
    }
    problems.sort_by_key(|p| p.column);
    Err(problems.into_iter().map(|p| p.of_plot(named)).collect())
}

/// The sample a row stands for, refused if it was met before.
///
/// Without a sample number the lines of a plot are taken as its cores in turn, unless the plot has a
/// single core: then a second line is a repetition.
pub(super) fn place_of(
    sheet: &Sheet<'_>,
    row: &[Cell],
    (plot, occasion): (&str, &str),
    stage: Option<&String>,
    seen: &mut Seen,
) -> Result<String, Problem> {
    let place = (plot.to_owned(), occasion.to_owned(), stage.cloned());
    let written = sheet.optional(row, "sample");
    let line = row.first().map_or(1, |c| c.line);
    let sample = match written {
        Some(sample) => sample,
        None if sheet.cores_per_plot > 1 => seen.turn(&place),
        None => "1".to_owned(),
    };
    let key = (place, sample.clone());
    if let Some(first) = seen.lines.get(&key) {
        let cell = sheet.cell(row, "sample").or(sheet.cell(row, "plot"));
        let twice = Complaint::new(
            format!(
                "plot {plot}, sample {sample}, occasion \"{occasion}\" stands on line {first} already"
            ),
            "Keep the right one, or give them different sample numbers.",
        );
        return Err(Problem::new(
            &sheet.table.file,
            cell,
            Rule::RepeatedCount,
            twice,
        ));
    }
    seen.lines.insert(key, line);
    Ok(sample)
}
