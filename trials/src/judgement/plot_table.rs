//! The plots of a case as a comparison takes them.

use halfgreen_analysis::comparison::{BlockStructure, PlotTable};
use halfgreen_analysis::counts::Factor;

use super::case::{Case, Ground, PlotCount, codes};
use crate::Warning;

/// The plots as the comparison takes them.
pub(super) fn table(case: &Case) -> PlotTable {
    let labels: Vec<&str> = case.plots.iter().map(|p| p.treatment.as_str()).collect();
    let mut treatment = Factor::from_labels("treatment", &labels, None);
    // Levels in the case's order, the control first, whatever plot comes first.
    treatment.codes = codes(&case.plots, &case.treatments);
    treatment.levels.clone_from(&case.treatments);
    let factor = |name: &str, of: &dyn Fn(&PlotCount) -> String| {
        let labels: Vec<String> = case.plots.iter().map(of).collect();
        Factor::from_labels(name, &labels, None)
    };
    let block = || factor("block", &|p| p.block.clone().unwrap_or_default());
    let layout = match case.ground {
        Ground::Open => BlockStructure::Unblocked,
        Ground::Blocks => BlockStructure::Blocks(block()),
        Ground::RowsAndColumns => BlockStructure::RowColumn([
            factor("row", &|p| p.row.clone().unwrap_or_default()),
            factor("column", &|p| p.column.clone().unwrap_or_default()),
        ]),
        Ground::WholePlots => BlockStructure::SplitPlot([
            block(),
            factor("whole plot", &|p| {
                format!(
                    "{} {}",
                    p.block.as_deref().unwrap_or(""),
                    p.row.as_deref().unwrap_or("")
                )
            }),
        ]),
    };
    let mut table = PlotTable {
        counts: case.plots.iter().map(|p| p.count).collect(),
        exposure: case.plots.iter().map(|p| p.exposure).collect(),
        treatment,
        block_structure: layout,
        before: None,
    };
    // Without the covariate the plots may be refused too, and then the comparison says why.
    if table.fixed_effects(true).is_ok() {
        table.before = covariate(case);
        if table.fixed_effects(true).is_err() {
            table.before = None;
        }
    }
    table
}

/// Whether all plots of a treatment, two or more of each, held the same before, so that the counts before
/// are the treatments in other words.
pub(super) fn repeats_treatments(case: &Case) -> bool {
    case.treatments.iter().all(|t| {
        let of = case.plots.iter().filter(|p| p.treatment == *t);
        let before: Vec<Option<f64>> = of.map(|p| p.before).collect();
        before.len() > 1 && before.iter().all(|b| *b == before[0])
    })
}

/// Whether the counts before treatment enter the comparison.
pub(super) fn uses_before(case: &Case) -> bool {
    covariate(case).is_some() && table(case).before.is_some()
}

/// Whether the counts before say nothing that treatments and blocks do not say already.
pub(super) fn tied_before(case: &Case, table: &PlotTable) -> Option<Warning> {
    (table.before.is_none() && covariate(case).is_some()).then(|| Warning {
        code: "before-tied",
        message: "the counts before treatment differ only as treatments and blocks do, so that they cannot help: they are \
                  not used in the model"
            .to_owned() + if repeats_treatments(case) { ", and must not be used: no figure is made from them" } else { "" },
        place: None,
    })
}

/// log(count before + 1), less its mean; absent unless every plot has one and they differ.
fn covariate(case: &Case) -> Option<Vec<f64>> {
    let before: Option<Vec<f64>> = case
        .plots
        .iter()
        .map(|p| p.before.map(f64::ln_1p))
        .collect();
    let before = before?;
    let mean = before.iter().sum::<f64>() / before.len() as f64;
    let centred: Vec<f64> = before.iter().map(|b| b - mean).collect();
    centred.iter().any(|b| b.abs() > 1e-9).then_some(centred)
}
