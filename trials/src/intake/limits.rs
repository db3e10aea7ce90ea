//! Numbers that no sound count can exceed, in one place.
//!
//! | what | limit | why |
//! |---|---|---|
//! | area sampled in a plot on one occasion | the plot's own | a plot has no more ground than it has |
//! | animals to the square metre | [`DENSITY`](crate::ranges::tables::DENSITY), or `most_per_m2` of the protocol | common practice, no source |
//! | animals in one sample of any size | [`COUNT`](crate::ranges::tables::COUNT) | a slip of the pen, whatever was sampled; no source |

use std::collections::BTreeMap;

use super::Observation;
use super::row::Sheet;
use crate::design::Layout;
use crate::table::{Cell, Complaint, Problem, Rule};
use crate::text::rounding::figure;

/// A count that its sample cannot hold.
pub(super) fn full_core(sheet: &Sheet<'_>, row: &[Cell], found: &Observation) -> Option<Problem> {
    let most = sheet.most_per_m2 * found.area_m2;
    if found.count as f64 <= most {
        return None;
    }
    let full = Complaint::new(
        format!(
            "{} in {} m2 is more than a core can hold: at {} to the square metre it holds {:.0} at most",
            found.count,
            figure(found.area_m2),
            sheet.most_per_m2,
            most.floor()
        ),
        "If it is a slip of the pen, correct it; if several samples were added up, write their whole area under area_m2; if \
         smaller animals are counted, write most_per_m2 under [response].",
    );
    let cell = sheet.cell(row, "count")?;
    let problem = sheet.problem(cell, Rule::FullCore, full);
    Some(problem.of_plot(&found.plot))
}

/// Plots in which more ground was sampled on an occasion than they have.
pub(super) fn larger_than_the_plot(
    sheets: &[Sheet<'_>],
    layout: &Layout,
    seen: &[Observation],
) -> Vec<Problem> {
    let plots: BTreeMap<&str, f64> = layout
        .plots
        .iter()
        .rev()
        .map(|p| (p.plot.as_str(), p.length_m * p.width_m))
        .collect();
    let mut sampled: BTreeMap<(&str, &str), BTreeMap<&str, &Observation>> = BTreeMap::new();
    for found in seen {
        // Lines of several stages, or of those that came up later, are of one sample.
        let samples = sampled.entry((&found.plot, &found.occasion)).or_default();
        samples.insert(&found.sample, found);
    }
    let mut problems = Vec::new();
    for ((name, occasion), samples) in sampled {
        let Some(&has) = plots.get(name) else {
            continue;
        };
        let taken = samples.values().map(|o| o.area_m2).sum::<f64>();
        // A sum of equal areas may come out a hair above their product.
        if taken <= has * (1.0 + 1e-9) {
            continue;
        }
        let worst = samples
            .values()
            .max_by(|a, b| a.area_m2.total_cmp(&b.area_m2));
        let Some((worst, sheet)) = worst.and_then(|o| Some((o, sheets.get(o.source)?))) else {
            continue;
        };
        let impossible = Complaint::new(
            format!(
                "{} m2 were sampled in plot {name} on occasion \"{occasion}\", and the plot has {} m2",
                figure(taken),
                figure(has)
            ),
            "Correct the area, or the size of the corer in the protocol (millimetres, square metres).",
        );
        let column = sheet.column("area_m2");
        let file = &sheet.table.file;
        let problem = Problem::at(file, worst.line, column, Rule::ImpossibleArea, impossible);
        problems.push(problem.of_plot(name));
    }
    problems
}
