//! The plots of a trial as a comparison takes them.

use halfgreen_analysis::comparison::{BlockStructure, InferenceSpace, PlotTable};
use halfgreen_analysis::counts::Factor;

use super::trial_data::{PlotCount, TrialData, codes};
use crate::Warning;
use crate::design::{self, Grouping, VerdictAbout};

/// The plots as the comparison takes them.
pub(crate) fn table(data: &TrialData) -> PlotTable {
    let labels: Vec<&str> = data.plots.iter().map(|p| p.treatment.as_str()).collect();
    let mut treatment = Factor::from_labels("treatment", &labels, None);
    // Levels in their own order, the control first, whatever plot comes first.
    treatment.codes = codes(data.plots.iter().map(PlotCount::unit), &data.treatments);
    treatment.levels.clone_from(&data.treatments);
    let factor = |name: &str, of: &dyn Fn(&PlotCount) -> String| {
        let labels: Vec<String> = data.plots.iter().map(of).collect();
        Factor::from_labels(name, &labels, None)
    };
    let block = || factor("block", &|p| p.block.clone().unwrap_or_default());
    let layout = match data.blocking {
        design::BlockStructure::Unblocked => BlockStructure::Unblocked,
        design::BlockStructure::Blocks => BlockStructure::Blocks(block()),
        design::BlockStructure::RowColumn => BlockStructure::RowColumn([
            factor("row", &|p| p.row.clone().unwrap_or_default()),
            factor("column", &|p| p.column.clone().unwrap_or_default()),
        ]),
        design::BlockStructure::SplitPlot => BlockStructure::SplitPlot([
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
        counts: data.plots.iter().map(|p| p.count).collect(),
        exposure: data.plots.iter().map(|p| p.exposure).collect(),
        treatment,
        block_structure: layout,
        inference: inference(data),
        before: None,
    };
    // Without the covariate the plots may be refused too, and then the comparison says why.
    if table.fixed_effects(true).is_ok() {
        table.before = covariate(data);
        if table.fixed_effects(true).is_err() {
            table.before = None;
        }
    }
    table
}

/// The factors with the level of each plot; the first level goes by its name, all others by their code.
pub(crate) fn factors(data: &TrialData) -> Vec<Factor> {
    let plot_levels = |factor: &design::Factor| Factor {
        name: factor.name.clone(),
        levels: factor
            .levels
            .first()
            .into_iter()
            .chain(&factor.codes)
            .cloned()
            .collect(),
        codes: data
            .plots
            .iter()
            .map(|p| factor.level_of.get(&p.treatment).copied().unwrap_or(0))
            .collect(),
    };
    data.factors.iter().map(plot_levels).collect()
}

/// What the conclusions are about: groups like these only where their draw repeats the trial.
fn inference(data: &TrialData) -> InferenceSpace {
    match data.about {
        Some(about) if about.verdict == VerdictAbout::LikeThese => {
            InferenceSpace::Broad(groups(data, about.grouping))
        }
        _ => InferenceSpace::Narrow,
    }
}

/// The green or the block of each plot.
pub(crate) fn groups(data: &TrialData, grouping: Grouping) -> Factor {
    let name = |p: &PlotCount| {
        let name = match grouping {
            Grouping::Green => p.green.clone(),
            Grouping::Block => p.block.clone(),
        };
        name.unwrap_or_default()
    };
    let labels: Vec<String> = data.plots.iter().map(name).collect();
    Factor::from_labels(grouping.one(), &labels, None)
}

/// Whether all plots of a treatment, two or more of each, held the same before, so that the counts before
/// are the treatments in other words.
pub(crate) fn repeats_treatments(data: &TrialData) -> bool {
    data.treatments.iter().all(|t| {
        let of = data.plots.iter().filter(|p| p.treatment == *t);
        let before: Vec<Option<f64>> = of.map(|p| p.before).collect();
        before.len() > 1 && before.iter().all(|b| *b == before[0])
    })
}

/// Whether the counts before say nothing that treatments and blocks do not say already.
pub(crate) fn tied_before(data: &TrialData, table: &PlotTable) -> Option<Warning> {
    (table.before.is_none() && covariate(data).is_some()).then(|| Warning {
        code: "before-tied",
        message: "the counts before treatment differ only as treatments and blocks do, so that they cannot help: they are \
                  not used in the model"
            .to_owned() + if repeats_treatments(data) { ", and must not be used: no figure is made from them" } else { "" },
        place: None,
    })
}

/// log(count before + 1), less its mean; absent unless every plot has one and they differ.
fn covariate(data: &TrialData) -> Option<Vec<f64>> {
    let before: Option<Vec<f64>> = data
        .plots
        .iter()
        .map(|p| p.before.map(f64::ln_1p))
        .collect();
    let before = before?;
    let mean = before.iter().sum::<f64>() / before.len() as f64;
    let centred: Vec<f64> = before.iter().map(|b| b - mean).collect();
    centred.iter().any(|b| b.abs() > 1e-9).then_some(centred)
}
