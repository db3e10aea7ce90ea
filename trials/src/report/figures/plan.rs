//! The plan of each green with treatment and count in each plot.

use super::Figure;
use crate::Error;
use crate::design::{Green, Layout, Plot, Protocol};
use crate::drawing::{Cell, FigureData};
use crate::fieldwork::map::{all_lettered, letters, report_map};
use crate::report::Findings;
use crate::trial_data::PlotCount;

/// Draws one for each green.
pub(super) fn figures(findings: &Findings<'_>) -> Result<Vec<Figure>, Error> {
    let turns = findings.judgement.crossover.is_some();
    let of = |plot: &str| {
        let here = |p: &&PlotCount| p.plot == plot || (turns && p.row.as_deref() == Some(plot));
        let counted = || findings.data.plots.iter().filter(here);
        let sum: u64 = counted().map(|p| p.count).sum();
        counted().next().map(|_| sum.to_string())
    };
    let words = Words {
        holds: "what was counted there",
        caption: if turns {
            "the letters of its treatments, night by night, and the number counted in it, all nights together"
        } else {
            "the letter of its treatment and the number counted in it"
        },
        without: "not counted",
    };
    let (protocol, layout) = (findings.protocol, findings.layout);
    let all = findings.greens.iter();
    all.map(|green| figure(protocol, layout, green, &of, &words))
        .collect()
}

/// What the numbers in the plots are.
#[derive(Debug, Clone, Copy)]
pub(super) struct Words {
    pub(super) holds: &'static str,
    pub(super) caption: &'static str,
    pub(super) without: &'static str,
}

/// One green with a number in every plot.
pub(super) fn figure(
    protocol: &Protocol,
    layout: &Layout,
    green: &Green,
    of: &dyn Fn(&str) -> Option<String>,
    words: &Words,
) -> Result<Figure, Error> {
    let (name, green_is, layout) = match &green.name {
        None => ("map".to_owned(), "The green".to_owned(), layout.clone()),
        Some(name) => (
            format!("map-{name}"),
            format!("Green {name}"),
            layout.on_green(name),
        ),
    };
    let labels = labels(protocol, &layout, of);
    let svg = report_map(
        &green.outline,
        &layout,
        &protocol.treatments,
        &labels,
        &format!(
            "Plan of the green with what each plot got and {}",
            words.holds
        ),
    )?;
    let missing = if layout.plots.iter().any(|p| of(&p.plot).is_none()) {
        format!(" (?: {})", words.without)
    } else {
        String::new()
    };
    Ok(Figure {
        name,
        caption: if all_lettered(&green.outline, &layout) {
            format!(
                "{green_is}. In each plot: its number, {}{missing}.",
                words.caption
            )
        } else {
            format!(
                "{green_is}. In each plot large enough: its number, {}{missing}. Of the others the table tells.",
                words.caption
            )
        },
        svg,
        data: data(&layout, of),
    })
}

/// Each plot once with what it got and what stands in it.
fn data(layout: &Layout, of: &dyn Fn(&str) -> Option<String>) -> FigureData {
    let mut data = FigureData::new(&["plot", "treatment", "number"]);
    let row = |p: &Plot| {
        let number = of(&p.plot).map_or(Cell::Empty, |n| n.as_str().into());
        vec![p.plot.as_str().into(), p.treatment.as_str().into(), number]
    };
    data.rows = layout.plots.iter().map(row).collect();
    data
}

/// Letter and count of each plot, in the order of the layout.
fn labels(
    protocol: &Protocol,
    layout: &Layout,
    of: &dyn Fn(&str) -> Option<String>,
) -> Vec<String> {
    let letters = letters(&protocol.treatments);
    let mut labels: Vec<String> = Vec::new();
    let mut met: Vec<&str> = Vec::new();
    for plot in &layout.plots {
        if met.contains(&plot.plot.as_str()) {
            continue;
        }
        met.push(&plot.plot);
        // One letter, or one for each night.
        let turns = layout.plots.iter().filter(|p| p.plot == plot.plot);
        let letter: String = turns
            .filter_map(|turn| {
                let mut treatments = protocol.treatments.iter();
                treatments.position(|t| t.code == turn.treatment)
            })
            .map(|i| letters[i].as_str())
            .collect();
        labels.push(match of(&plot.plot) {
            Some(number) => format!("{letter} {number}"),
            None => format!("{letter} ?"),
        });
    }
    labels
}
