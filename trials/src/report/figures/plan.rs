//! The plan of each green with treatment and count in each plot.

use super::Figure;
use crate::Error;
use crate::design::{Green, Layout};
use crate::fieldwork::map::{letters, report_map};
use crate::report::Findings;

/// Draws one for each green.
pub(super) fn figures(findings: &Findings<'_>) -> Result<Vec<Figure>, Error> {
    findings
        .greens
        .iter()
        .map(|green| figure(findings, green))
        .collect()
}

fn figure(findings: &Findings<'_>, green: &Green) -> Result<Figure, Error> {
    let (name, green_is, layout) = match &green.name {
        None => (
            "map".to_owned(),
            "The green".to_owned(),
            findings.layout.clone(),
        ),
        Some(name) => (
            format!("map-{name}"),
            format!("Green {name}"),
            findings.layout.on_green(name),
        ),
    };
    let labels = labels(findings, &layout);
    let svg = report_map(
        &green.outline,
        &layout,
        &findings.protocol.treatments,
        &labels,
        "Plan of the green with what each plot got and what was counted there",
    )?;
    let missing = if labels.iter().any(|l| l.ends_with('?')) {
        " (?: not counted)"
    } else {
        ""
    };
    Ok(Figure {
        name,
        caption: format!(
            "{green_is}. In each plot: its number, the letter of its treatment and the number counted in all its \
             cores{missing}."
        ),
        svg,
    })
}

/// Letter and count of each plot, in the order of the layout.
fn labels(findings: &Findings<'_>, layout: &Layout) -> Vec<String> {
    let letters = letters(&findings.protocol.treatments);
    let mut labels: Vec<String> = Vec::new();
    let mut met: Vec<&str> = Vec::new();
    for plot in &layout.plots {
        if met.contains(&plot.plot.as_str()) {
            continue;
        }
        met.push(&plot.plot);
        let counted = findings.case.plots.iter().find(|p| p.plot == plot.plot);
        let mut treatments = findings.protocol.treatments.iter();
        let letter = treatments
            .position(|t| t.code == plot.treatment)
            .map_or("", |i| letters[i].as_str());
        labels.push(match counted {
            Some(p) => format!("{letter} {}", p.count),
            None => format!("{letter} ?"),
        });
    }
    labels
}
