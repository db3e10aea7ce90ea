//! The plan of the green with treatment and count in each plot.

use super::Figure;
use crate::Error;
use crate::fieldwork::map::report_map;
use crate::report::Findings;

/// Draws it.
pub(super) fn figure(findings: &Findings<'_>) -> Result<Figure, Error> {
    let mut labels: Vec<String> = Vec::new();
    let mut met: Vec<&str> = Vec::new();
    for plot in &findings.layout.plots {
        if met.contains(&plot.plot.as_str()) {
            continue;
        }
        met.push(&plot.plot);
        let counted = findings.case.plots.iter().find(|p| p.plot == plot.plot);
        let place = findings
            .protocol
            .treatments
            .iter()
            .position(|t| t.code == plot.treatment);
        let letter = place
            .and_then(|i| u8::try_from(i).ok())
            .map_or(' ', |i| char::from(b'A' + i % 26));
        labels.push(match counted {
            Some(p) => format!("{letter} {}", p.count),
            None => format!("{letter} ?"),
        });
    }
    let svg = report_map(
        findings.outline,
        findings.layout,
        &findings.protocol.treatments,
        &labels,
        "Plan of the green with what each plot got and what was counted there",
    )?;
    Ok(Figure {
        name: "map",
        caption: format!(
            "The green. In each plot: its number, the letter of its treatment and the {} counted in all its cores{}.",
            findings.judgement.counted,
            if labels.iter().any(|l| l.ends_with('?')) {
                " (?: not counted)"
            } else {
                ""
            }
        ),
        svg,
    })
}
