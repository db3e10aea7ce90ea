//! Counts or readings of several files put together: what each line says once, and nothing lost.

use std::collections::{BTreeMap, BTreeSet};

use super::check::{check_tables, refused};
use super::observation::IdleLines;
use super::readings;
use super::seen::Where;
use super::{Check, CheckedCounts, Observation, Reading};
use crate::Error;
use crate::count_rules::rules;
use crate::design::{Layout, Protocol};
use crate::table::{Cell, Problem, RawTable};
use crate::text::table_cells::written;

/// Files of counts or readings, checked as one.
#[derive(Debug, Clone, PartialEq)]
pub struct FilesCheck {
    /// What was found, each complaint in its own file.
    pub check: Check,
    /// All of them as one table, where no problem is an error.
    pub text: Option<String>,
    /// Counts or readings that the first of the files lacks.
    pub new: usize,
}

/// Checks files of counts as one table; `whole` is the name under which they are to stand together, `files` are their names and texts.
///
/// # Errors
/// None but a text that cannot be written as a table, which is not known to occur: what is wrong with the counts is in the result.
pub fn check_files(
    whole: &str,
    files: &[(String, String)],
    protocol: &Protocol,
    layout: &Layout,
) -> Result<FilesCheck, Error> {
    let (tables, doubts) = match all_read(files) {
        Ok(read) => read,
        Err(broken) => return Ok(FilesCheck::of_none(refused(broken, layout))),
    };
    let mut check = check_tables(whole, &tables, protocol, protocol, layout);
    check.result.problems.splice(0..0, doubts);
    let counts = check.counts.as_ref().map(CheckedCounts::observations);
    let lines: BTreeMap<Where, &Observation> = counts
        .into_iter()
        .flatten()
        .map(|o| ((o.source, o.line), o))
        .collect();
    let new = lines.keys().filter(|(source, _)| *source > 0).count();
    let text = match counts {
        Some(_) => Some(merged(
            &tables,
            &rules().names(),
            &check.idle,
            |here, heading, cell| lines.get(&here).map(|o| told(heading, o, cell)),
        )?),
        None => None,
    };
    Ok(FilesCheck { check, text, new })
}

/// The same of files of readings, whose `check` holds no counts.
///
/// # Errors
/// As [`check_files`].
pub fn check_reading_files(
    whole: &str,
    files: &[(String, String)],
    protocol: &Protocol,
    layout: &Layout,
) -> Result<FilesCheck, Error> {
    let (tables, doubts) = match all_read(files) {
        Ok(read) => read,
        Err(broken) => return Ok(FilesCheck::of_none(refused(broken, layout))),
    };
    let read = readings::check_tables(whole, &tables, doubts, protocol, layout);
    let lines: BTreeMap<Where, &Reading> = read
        .readings
        .iter()
        .flatten()
        .map(|r| ((r.source, r.line), r))
        .collect();
    let new = lines.keys().filter(|(source, _)| *source > 0).count();
    let text = match &read.readings {
        Some(_) => Some(merged(
            &tables,
            &readings::COLUMNS,
            &read.idle,
            |here, heading, cell| lines.get(&here).map(|r| told_of_reading(heading, r, cell)),
        )?),
        None => None,
    };
    let check = Check {
        result: read.result,
        counts: None,
        idle: read.idle,
    };
    Ok(FilesCheck { check, text, new })
}

impl FilesCheck {
    /// Of files that cannot be read.
    fn of_none(check: Check) -> Self {
        Self {
            check,
            text: None,
            new: 0,
        }
    }
}

/// All files as tables, with what is doubtful about them.
///
/// # Errors
/// What is wrong with those that are none.
fn all_read(files: &[(String, String)]) -> Result<(Vec<RawTable>, Vec<Problem>), Vec<Problem>> {
    let (mut tables, mut doubts, mut broken) = (Vec::new(), Vec::new(), Vec::new());
    for (file, text) in files {
        match RawTable::read_counts(file, text) {
            Ok((table, found)) => {
                tables.push(table);
                doubts.extend(found);
            }
            Err(found) => broken.extend(found),
        }
    }
    if broken.is_empty() {
        Ok((tables, doubts))
    } else {
        Err(broken)
    }
}

/// Every line of the tables that says something of its own, under all their headings: `told` has what a line says under a heading,
/// where it is a count or a reading.
fn merged(
    tables: &[RawTable],
    known: &[&str],
    idle: &IdleLines,
    told: impl Fn(Where, &str, Option<&Cell>) -> Option<String>,
) -> Result<String, Error> {
    let headings = headings(tables, known);
    let mut out = csv::Writer::from_writer(Vec::new());
    let failed = |e: &dyn std::fmt::Display| {
        Error::new(
            "counts",
            format!("they cannot be put together ({e})"),
            "Merge them by hand.",
        )
    };
    out.write_record(&headings).map_err(|e| failed(&e))?;
    for (source, table) in tables.iter().enumerate() {
        let at: Vec<Option<usize>> = headings.iter().map(|h| table.position(h)).collect();
        for row in &table.rows {
            let here = (source, row.first().map_or(1, |c| c.line));
            if told(here, "plot", None).is_none() && !idle.uncounted.contains(&here) {
                continue;
            }
            let cells = headings.iter().zip(&at).map(|(heading, at)| {
                let cell = at.and_then(|at| row.get(at));
                let text = told(here, heading, cell).unwrap_or_else(|| as_written(cell));
                written(&text).into_owned()
            });
            out.write_record(cells).map_err(|e| failed(&e))?;
        }
    }
    let bytes = out.into_inner().map_err(|e| failed(&e))?;
    String::from_utf8(bytes).map_err(|e| failed(&e))
}

/// The known columns that some table has, in their usual order, then all others.
fn headings(tables: &[RawTable], known: &[&str]) -> Vec<String> {
    let there = |name: &&str| tables.iter().any(|t| t.position(name).is_some());
    let mut headings: Vec<String> = known
        .iter()
        .copied()
        .filter(there)
        .map(str::to_owned)
        .collect();
    let mut met: BTreeSet<String> = known.iter().map(|n| (*n).to_owned()).collect();
    for heading in tables.iter().flat_map(|t| &t.header) {
        if !heading.text.is_empty() && met.insert(heading.text.to_lowercase()) {
            headings.push(heading.text.clone());
        }
    }
    headings
}

fn as_written(cell: Option<&Cell>) -> String {
    cell.map_or(String::new(), |c| c.text.clone())
}

/// What a count says under a heading: as it was understood, so that all files are written alike.
fn told(heading: &str, count: &Observation, cell: Option<&Cell>) -> String {
    let blank = cell.is_none_or(|c| c.text.is_empty());
    let some = |text: &Option<String>| text.clone().unwrap_or_default();
    match heading {
        "plot" => count.plot.clone(),
        "sample" => count.sample.clone(),
        "occasion" => count.occasion.clone(),
        "date" => count.date.map_or(String::new(), |day| day.to_string()),
        "stage" => some(&count.stage),
        "count" => count.count.to_string(),
        "area_m2" if blank => String::new(),
        "area_m2" => count.area_m2.to_string(),
        "minutes_after_lift" if blank && count.minutes == 0 => String::new(),
        "minutes_after_lift" => count.minutes.to_string(),
        "counted_at" => some(&count.counted_at),
        "counter" => some(&count.counter),
        "note" => some(&count.note),
        _ => as_written(cell),
    }
}

/// What a reading says under a heading.
fn told_of_reading(heading: &str, reading: &Reading, cell: Option<&Cell>) -> String {
    match heading {
        "plot" => reading.plot.clone(),
        "sample" => reading.sample.clone(),
        "occasion" => reading.occasion.clone(),
        "date" => reading.date.map_or(String::new(), |day| day.to_string()),
        "reading" => reading.value.to_string(),
        "outside" => reading.outside.map_or(String::new(), |x| x.to_string()),
        "note" => reading.note.clone().unwrap_or_default(),
        _ => as_written(cell),
    }
}
