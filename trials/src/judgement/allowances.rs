//! What an estimate allows for that the counts as they stand do not.
//!
//! From the one to the other the ratio is followed step by step: totals per area; random counts with random blocks, which
//! in complete blocks move nothing; clumped counts, of which a crowded plot says less; the estimate, with the counts
//! before.

use halfgreen_analysis::comparison::{self, PlotTable};
use halfgreen_analysis::counts::ModelMatrix;
use halfgreen_analysis::mixed::block::RandomBlock;
use halfgreen_analysis::mixed::laplace::RandomEffects;
use serde::Serialize;

use crate::design::BlockStructure;
use crate::trial_data::TrialData;
use crate::trial_data::plot_table::table;

/// One thing that an estimate allows for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Allowance {
    /// The counts before treatment.
    Before,
    /// Blocks, or rows and columns, that the treatments share unevenly.
    Blocks,
    /// How the counts scatter: where they are clumped, a crowded plot says less than its count.
    Scatter,
}

/// A step that moves a ratio by less than a part in two hundred moves nothing that is told.
const STEP: f64 = 0.005;

/// What the estimated ratio of a treatment allows for: every step that moved it, or the longest where all are short;
/// none where nothing moved it, or where the ratio or its steps do not exist.
pub(super) fn allowances(data: &TrialData, treatment: &str, ratio: Option<f64>) -> Vec<Allowance> {
    let steps = || -> Option<[(Allowance, f64); 3]> {
        let plots = table(data);
        let counted = data.ratio_as_counted(treatment)?;
        let at = plots.treatment.levels.iter().position(|t| t == treatment)?;
        let blocked = without_before(&plots, at, true)?;
        let clumped = without_before(&plots, at, false)?;
        let moved = |from: f64, to: f64| (to / from).ln().abs();
        let before = match plots.before {
            Some(_) => moved(clumped, ratio?),
            None => 0.0,
        };
        Some([
            (Allowance::Before, before),
            (Allowance::Blocks, moved(counted, blocked)),
            (Allowance::Scatter, moved(blocked, clumped)),
        ])
    };
    let Some(steps) = steps().filter(|steps| steps.iter().all(|s| s.1.is_finite())) else {
        return Vec::new();
    };
    let longest = steps.iter().map(|s| s.1).fold(0.0, f64::max);
    let told = steps
        .iter()
        .filter(|s| s.1 > 0.0 && s.1 >= STEP.min(longest));
    told.map(|s| s.0).collect()
}

/// The ratio of treatment `at` to the control by counts with random blocks, the counts before left out; `poisson` takes
/// the counts for random ones.
fn without_before(table: &PlotTable, at: usize, poisson: bool) -> Option<f64> {
    let matrix = ModelMatrix::with_intercept(table.counts.len()).factor(&table.treatment);
    let (matrix, offset) = (matrix.build().ok()?, table.offset());
    let one = || vec![0; table.counts.len()];
    let block = |codes: &[usize]| {
        let model = RandomBlock::<{ halfgreen_analysis::mixed::block::POINTS }>::new(
            &table.counts,
            &offset,
            &matrix,
            codes,
        );
        Some(model.ok()?.fit(None, None, poisson))
    };
    let fit = match &table.block_structure {
        comparison::BlockStructure::Unblocked => block(&one()),
        comparison::BlockStructure::Blocks(factor)
        | comparison::BlockStructure::SplitPlot([factor, _]) => block(&factor.codes),
        comparison::BlockStructure::RowColumn(terms) => {
            let codes: Vec<Vec<usize>> = terms.iter().map(|f| f.codes.clone()).collect();
            let model = RandomEffects::new(&table.counts, &offset, &matrix, &codes);
            Some(model.ok()?.fit(None, None, poisson))
        }
    };
    fit?.beta.get(at).map(|b| b.exp())
}

/// Allowances in words: "the counts before, for blocks and for how the counts scatter".
pub(super) fn in_words(data: &TrialData, allowances: &[Allowance]) -> String {
    let word = |a: &Allowance| match a {
        Allowance::Before => "the counts before",
        Allowance::Blocks => match data.blocking {
            BlockStructure::RowColumn if data.secondary.crossover.is_some() => "plots and nights",
            BlockStructure::RowColumn => "rows and columns",
            BlockStructure::Unblocked | BlockStructure::Blocks | BlockStructure::SplitPlot => {
                "blocks"
            }
        },
        Allowance::Scatter => "how the counts scatter",
    };
    let words: Vec<&str> = allowances.iter().map(word).collect();
    match words.as_slice() {
        [] => word(&Allowance::Scatter).to_owned(),
        [first @ .., last] if !first.is_empty() => {
            format!("{} and for {last}", first.join(", for "))
        }
        [only, ..] => (*only).to_owned(),
    }
}
