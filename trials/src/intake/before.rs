//! The counts before treatment, one for each plot, from which blocks are formed.

use super::Check;
use super::check::check_tables;
use super::names::listed;
use super::sums::sums_before;
use crate::design::{Layout, Protocol, Role};
use crate::table::{Complaint, Problem, RawTable, Rule};

/// Counts before treatment of every plot.
#[derive(Debug, Clone, PartialEq)]
pub struct BeforeCounts {
    /// Animals in the planned number of cores of each plot, in the order of the plots.
    pub counts: Vec<f64>,
    /// What is doubtful in their lines.
    pub problems: Vec<Problem>,
}

/// Reads the lines of the occasion before treatment; lines of other occasions are left alone,
/// whatever stands in them. `None` where no line is of that occasion. A plot with fewer cores than
/// planned is brought to the planned number.
///
/// # Errors
/// All that is wrong in those lines, and plots that have no count, by their numbers.
pub fn before_counts(
    file: &str,
    text: &str,
    protocol: &Protocol,
    plots: &Layout,
) -> Result<Option<BeforeCounts>, Vec<Problem>> {
    let mut table = match RawTable::read(file, text) {
        Ok(table) => table,
        Err(problems) if problems.iter().all(|p| p.rule == Rule::EmptyFile) => return Ok(None),
        Err(problems) => return Err(problems),
    };
    let Some(before) = protocol.occasions.iter().find(|o| o.role == Role::Before) else {
        return Ok(None);
    };
    let column = table.position("occasion");
    let others: Vec<String> = protocol
        .occasions
        .iter()
        .filter(|o| o.role != Role::Before)
        .map(|o| o.name.to_lowercase())
        .collect();
    // A line whose occasion cannot be told may be one of these: it stays, and is complained of.
    table.rows.retain(|row| {
        let written = column.and_then(|c| row.get(c));
        written.is_none_or(|cell| !others.contains(&cell.text.to_lowercase()))
    });
    if table.rows.is_empty() {
        return Ok(None);
    }
    let mut asked = protocol.clone();
    asked.occasions.retain(|o| o.role == Role::Before);
    let tables = [table];
    let Check { result, counts, .. } = check_tables(file, &tables, protocol, &asked, plots);
    let [table] = tables;
    let Some(counts) = counts else {
        return Err(result
            .problems
            .into_iter()
            .filter(Problem::is_error)
            .collect());
    };
    let by_plot = sums_before(counts.observations(), &before.name, protocol);
    let names = plots.plots.iter().map(|p| p.plot.as_str());
    let uncounted: Vec<&str> = names.filter(|p| !by_plot.contains_key(p)).collect();
    if !uncounted.is_empty() {
        return Err(vec![not_counted(&table, &before.name, &uncounted)]);
    }
    // To a millionth, so that equal counts from different numbers of cores are equal.
    let exact = |count: f64| (count * 1e6).round() / 1e6;
    Ok(Some(BeforeCounts {
        counts: plots
            .plots
            .iter()
            .filter_map(|p| by_plot.get(p.plot.as_str()).copied().map(exact))
            .collect(),
        problems: result.problems,
    }))
}

/// Plots without a count cannot be ranked.
fn not_counted(table: &RawTable, occasion: &str, plots: &[&str]) -> Problem {
    let (noun, verb) = if plots.len() == 1 {
        ("plot", "has")
    } else {
        ("plots", "have")
    };
    let complaint = Complaint::new(
        format!(
            "{noun} {} {verb} no count on occasion \"{occasion}\"",
            listed(plots)
        ),
        format!(
            "Blocks are formed from the counts of all plots: count {}, and add the lines.",
            if plots.len() == 1 { "it" } else { "them" }
        ),
    );
    Problem::new(
        &table.file,
        table.header.first(),
        Rule::BlankCell,
        complaint,
    )
}
