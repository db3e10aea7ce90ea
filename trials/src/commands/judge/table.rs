//! Any table of counts, by the names of its columns, and what is asked of it.

use std::path::{Path, PathBuf};

use halfgreen_analysis::comparison::{Better, Question};

use super::super::Refusal;
use super::super::columns::{named_once, refused};
use super::super::request::required;
use super::{Request, ResponseKind};
use crate::intake::{Columns, TableInput, columns_of_rows, read_columns};
use crate::store::Sources;
use crate::table::{Problem, RawTable, Rule};
use crate::trial_data::{TableQuestion, TrialData, data_from_table, tells};
use crate::{Error, Warning};

/// Change of a count worth having where none is stated, per cent: half the larvae gone.
const USUAL_CHANGE: f64 = 50.0;

/// The trial data of a table.
pub(super) fn data(
    file: &Path,
    request: &Request,
    seed: u64,
    sources: &dyn Sources,
) -> Result<TrialData, Refusal> {
    let columns = columns(request)?;
    let (shown, text) = (file.display().to_string(), sources.summed_table(file)?);
    let input = read_columns(&shown, &text, &columns)
        .map_err(|faults| refused(faults, (&shown, &text), &named(request)))?;
    of_input(file, &input, request, seed)
}

/// The same of rows that were read already.
pub(in crate::commands) fn data_of_rows(
    rows: RawTable,
    request: &Request,
    seed: u64,
) -> Result<TrialData, Refusal> {
    let columns = columns(request)?;
    let file = PathBuf::from(&rows.file);
    let input = columns_of_rows(rows, &columns)?;
    of_input(&file, &input, request, seed)
}

fn of_input(
    file: &Path,
    input: &TableInput,
    request: &Request,
    seed: u64,
) -> Result<TrialData, Refusal> {
    let asked = TableQuestion {
        question: question(request)?,
        randomised: !request.not_randomised,
        verdict_about: request.verdict_about,
        seed,
    };
    let placed = |refused: Error| of_file(file, refused.into());
    tied(request, input).map_err(placed)?;
    let mut data = data_from_table(input, &asked).map_err(placed)?;
    data.warnings.extend(input.problems.iter().map(told));
    data.secondary.threshold_per_m2 = request.threshold;
    Ok(data)
}

/// What should be known of a table that is judged.
fn told(problem: &Problem) -> Warning {
    let mut warning = Warning::from(problem.clone());
    if problem.rule == Rule::NotCounted {
        warning.code = "line-left-out";
    }
    warning
}

/// A refusal each of whose errors begins with its file, unless it is about a field of the request.
pub(super) fn of_file(file: &Path, refusal: Refusal) -> Refusal {
    let errors = refusal.errors.into_iter();
    let placed = errors.map(|e| match &e.field {
        Some(field) if *field == e.place => e,
        _ => Error {
            place: format!("{}: {}", file.display(), e.place),
            ..e
        },
    });
    Refusal {
        errors: placed.collect(),
    }
}

/// Refuses a grouping within which no two treatments lie.
fn tied(request: &Request, input: &TableInput) -> Result<(), Error> {
    let groupings = [
        ("block", &request.block, &input.blocks),
        ("row", &request.row, &input.rows),
        ("column", &request.column, &input.columns),
    ];
    for (field, name, labels) in groupings {
        let (Some(name), Some(labels)) = (name, labels) else {
            continue;
        };
        // One name for all plots tells nothing, and does no harm.
        if labels.levels.len() > 1
            && input.treatments.levels.len() > 1
            && tells(labels, &input.treatments)
        {
            let treatment = &request.treatment;
            let fault = Error::new(
                format!("columns {name} and {treatment}"),
                format!(
                    "{name} and {treatment} always go together: within one {name} all plots have the same {treatment}, so \
                     that nothing tells the one from the other"
                ),
                format!(
                    "Leave --{} out if plots were not grouped, or add plots of other treatments to each {name}.",
                    if field == "block" {
                        "block"
                    } else {
                        "row and --column"
                    }
                ),
            );
            return Err(Error {
                field: Some(field.to_owned()),
                ..fault
            });
        }
    }
    Ok(())
}

/// The columns that the request names.
pub(super) fn named(request: &Request) -> [(&'static str, Option<&str>); 9] {
    [
        ("count", Some(request.count.as_str())),
        ("treatment", Some(request.treatment.as_str())),
        ("block", request.block.as_deref()),
        ("row", request.row.as_deref()),
        ("column", request.column.as_deref()),
        ("plot", request.plot.as_deref()),
        ("before", request.before.as_deref()),
        ("area", request.area.as_deref()),
        ("outside", request.outside.as_deref()),
    ]
}

/// The names of a table's columns.
pub(super) fn columns(request: &Request) -> Result<Columns, Vec<Error>> {
    required(&[
        ("count", &request.count),
        ("treatment", &request.treatment),
        ("control", &request.control),
    ])?;
    named_once(&named(request))?;
    if request.row.is_some() != request.column.is_some() {
        let (given, missing) = if request.row.is_some() {
            ("row", "column")
        } else {
            ("column", "row")
        };
        let what = format!("the {given}s of a Latin square are named, and its {missing}s are not");
        return Err(vec![Error::in_field(
            missing,
            what,
            "Name both, or neither.",
        )]);
    }
    Ok(Columns {
        count: request.count.clone(),
        treatment: request.treatment.clone(),
        control: request.control.clone(),
        block: request.block.clone(),
        row: request.row.clone(),
        column: request.column.clone(),
        plot: request.plot.clone(),
        before: request.before.clone(),
        area: request.area.clone(),
    })
}

fn question(request: &Request) -> Result<Question, Error> {
    let better = request.better.unwrap_or(Better::Fewer);
    let percent = request.worthwhile.unwrap_or(USUAL_CHANGE);
    if better == Better::Fewer && percent >= 100.0 {
        return Err(Error::in_field(
            "worthwhile",
            format!("no count falls by {percent} per cent and leaves something to compare"),
            "Give the smallest reduction that would matter, below 100.",
        ));
    }
    let share = percent / 100.0;
    Ok(Question {
        alpha: request.alpha,
        better,
        worthwhile_ratio: better.ratio_by(share),
    })
}

/// Refuses a threshold beside which no mean of the table can be put.
pub(super) fn threshold_of_densities(request: &Request) -> Result<(), Error> {
    let refused = |what: &str, cure: &str| Err(Error::in_field("threshold", what, cure));
    if request.threshold.is_none() {
        Ok(())
    } else if request.response != ResponseKind::Count || request.better == Some(Better::More) {
        let what = "a threshold is for counts of animals in the turf, where fewer is better";
        refused(what, "Leave it out.")
    } else if request.area.is_none() {
        let what = "a threshold per square metre needs the sampled areas";
        refused(what, "Name their column with --area, or leave it out.")
    } else {
        Ok(())
    }
}

/// What only a table can be asked; of a trial, its protocol says it.
const OF_TABLES: [&str; 17] = [
    "count",
    "treatment",
    "control",
    "block",
    "row",
    "column",
    "plot",
    "before",
    "area",
    "response",
    "outside",
    "better",
    "worthwhile",
    "alpha",
    "not_randomised",
    "verdict_about",
    "threshold",
];

/// Refuses what is asked of a trial that its protocol has said, all at once: it is judged as planned.
pub(super) fn nothing_asked_of_tables(request: &Request) -> Result<(), Refusal> {
    let as_values = |request: &Request| {
        serde_json::to_value(request).map_err(|e| Error::new("request", e.to_string(), "Mend it."))
    };
    let (given, usual) = (as_values(request)?, as_values(&Request::default())?);
    let asked = OF_TABLES
        .iter()
        .filter(|field| given[**field] != usual[**field]);
    let faults: Vec<Error> = asked
        .map(|field| {
            let what = "this is for tables; a trial is judged as its protocol says";
            Error::in_field(*field, what, "Leave it out; trial.toml has it.")
        })
        .collect();
    if faults.is_empty() {
        Ok(())
    } else {
        Err(faults.into())
    }
}
