//! Counts against protocol and layout: every complaint in one pass.

use std::collections::BTreeSet;

use super::gather::Gathered;
use super::known_columns::columns;
use super::limits;
use super::missing::missing;
use super::observation::IdleLines;
use super::outliers::outliers;
use super::row::Sheet;
use super::watch::unlike;
use super::{Check, CheckResult, CheckedCounts, Missing, Observation};
use crate::count_rules::rules;
use crate::design::{Layout, Protocol, Role};
use crate::table::{Problem, RawTable};

/// Checks the text of `counts.csv`; `file` is its name in complaints.
///
/// Never fails: what is wrong is in the result, and the counts are handed over only when no problem
/// is an error.
#[must_use]
pub fn check_counts(file: &str, text: &str, protocol: &Protocol, layout: &Layout) -> Check {
    match RawTable::read_counts(file, text) {
        Ok((table, doubts)) => {
            let mut check = check_tables(file, &[table], protocol, protocol, layout);
            check.result.problems.splice(0..0, doubts);
            check
        }
        Err(problems) => refused(problems, layout),
    }
}

/// Checks tables that could be read, as one: the same counted in two of them is one count where they agree, and a fault where
/// they do not. Occasions are those of `protocol`; what is missing from `whole`, the file in which they stand together, is told
/// for those of `asked` alone.
pub(super) fn check_tables(
    whole: &str,
    tables: &[RawTable],
    protocol: &Protocol,
    asked: &Protocol,
    layout: &Layout,
) -> Check {
    let mut gathered = Gathered::default();
    let sheets: Vec<Sheet<'_>> = (0..)
        .zip(tables)
        .map(|(source, table)| Sheet::of(table, protocol, layout).numbered(source))
        .collect();
    for sheet in &sheets {
        let headings = columns(sheet, &rules().needed(), &rules().names());
        let usable = !headings.iter().any(Problem::is_error);
        gathered.problems.extend(headings);
        if usable {
            for row in &sheet.table.rows {
                gathered.take(&sheets, sheet, row);
            }
        }
    }
    gathered.tell_uncounted();
    let Gathered {
        mut problems,
        observations,
        idle,
        ..
    } = gathered;
    problems.extend(limits::larger_than_the_plot(&sheets, layout, &observations));
    // While lines are still to be mended, nobody can say what is missing.
    let mut absent = Vec::new();
    let mut problems_of_plots = Vec::new();
    if !problems.any_error() {
        (absent, problems_of_plots) = missing(whole, &observations, asked, layout);
        problems.extend(unlike(whole, asked, layout, &observations));
        problems_of_plots.extend(outliers(&sheets, layout, &observations));
    }
    let mut problems = problems.into_list();
    problems.extend(problems_of_plots);
    let mut check = finish(problems, absent, observations, protocol, layout);
    check.idle = idle;
    check
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
        idle: IdleLines::default(),
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
        idle: IdleLines::default(),
    }
}
