//! The effect in each group, beside that of the whole: blocks with several plots of a treatment, or sites.

use serde::Serialize;

use super::model_test::ModelTest;
use super::plot_table::{BlockStructure, InferenceSpace, PlotTable};
use super::spread::{EffectSpread, spread};
use super::strata::Strata;
use crate::Error;
use crate::counts::{Factor, ModelMatrix};
use crate::multiplicity::dunnett::CriticalCurve;
use crate::results::Interval;

/// A treatment against the control in one group.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct GroupEffect {
    /// Name of the group.
    pub group: String,
    /// Name of the treatment.
    pub treatment: String,
    /// Ratio of mean counts, treatment to control; 0 for an empty treatment, infinite for an empty control, `None`
    /// where both are empty.
    pub ratio: Option<f64>,
    /// Interval of the ratio, for this group alone; the error is the scatter of the plots of all groups.
    pub interval: Interval,
}

/// Effects group by group.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct GroupEffects {
    /// Every treatment in every group that has it and the control, group by group.
    pub effects: Vec<GroupEffect>,
    /// The spread of each treatment's effect between groups; none where each group has one plot of a treatment.
    pub spreads: Vec<EffectSpread>,
}

/// The effect in each of `groups` (each plot's given), and its spread between them, at 1 - `alpha`.
///
/// Each group has treatments of its own against its own control, in one model with one k; the mean square of plots of
/// all groups is the error. Latin squares are compared by their rows alone. This is description: none of the limits is
/// adjusted for their number.
///
/// # Errors
/// What [`PlotTable::check`] refuses, a number of groups that differs from the plots.
pub fn effects_by_group(
    table: &PlotTable,
    groups: &Factor,
    alpha: f64,
) -> Result<GroupEffects, Error> {
    Ok(GroupEffects {
        spreads: effect_spreads(table, groups, alpha)?,
        effects: effects(table, groups, alpha)?,
    })
}

/// How far the effect of each treatment differs between `groups`, for those of which plots tell.
///
/// # Errors
/// As [`effects_by_group`].
pub fn effect_spreads(
    table: &PlotTable,
    groups: &Factor,
    alpha: f64,
) -> Result<Vec<EffectSpread>, Error> {
    let named = PlotTable {
        inference: InferenceSpace::Broad(groups.clone()),
        ..table.clone()
    };
    named.check()?;
    let (offset, matrix) = (table.offset(), table.treatment_matrix()?);
    let strata = Strata::new(&named);
    let whole = ModelTest::new(&named, &offset, &matrix, &strata)?;
    let treatments = 1..table.treatment.levels.len();
    Ok(treatments
        .filter_map(|j| spread(&whole, j, groups, alpha))
        .collect())
}

/// A treatment in a group.
struct Cell {
    treatment: usize,
    group: usize,
}

fn effects(table: &PlotTable, groups: &Factor, alpha: f64) -> Result<Vec<GroupEffect>, Error> {
    let has = |treatment: usize, group: usize| {
        let mut plots = table.treatment.codes.iter().zip(&groups.codes);
        plots.any(|(&t, &g)| t == treatment && g == group)
    };
    let treatments = table.treatment.levels.len();
    let cells: Vec<Cell> = (0..groups.levels.len())
        .filter(|&group| has(0, group))
        .flat_map(|group| (1..treatments).map(move |treatment| Cell { treatment, group }))
        .filter(|cell| has(cell.treatment, cell.group))
        .collect();
    if cells.is_empty() {
        return Ok(Vec::new());
    }
    let (parted, left) = parted(table, groups, &cells);
    let mut columns = ModelMatrix::with_intercept(parted.counts.len()).factor(&parted.treatment);
    if left.levels.len() > 1 {
        columns = columns.factor(&left);
    }
    if let Some(before) = &parted.before {
        columns = columns.covariate("before", before);
    }
    let matrix = columns.build()?;
    let (offset, strata) = (parted.offset(), Strata::new(&parted));
    let test = ModelTest::new(&parted, &offset, &matrix, &strata)?;
    // Each by itself: one contrast.
    let bound = CriticalCurve::new(alpha, vec![0.0])?;
    let effect = |(at, cell): (usize, &Cell)| {
        let j = at + 1;
        let (ratio, df) = (test.ratio(j), test.contrast(j, 0.0).transformed.df);
        let interval = test.usable_interval(j, df, &bound, alpha);
        GroupEffect {
            group: groups.levels[cell.group].clone(),
            treatment: table.treatment.levels[cell.treatment].clone(),
            ratio,
            interval,
        }
    };
    Ok(cells.iter().enumerate().map(effect).collect())
}

/// The table with a treatment for each cell; groups without the control are left out.
fn parted(table: &PlotTable, groups: &Factor, cells: &[Cell]) -> (PlotTable, Factor) {
    let kept: Vec<usize> = (0..table.counts.len())
        .filter(|&plot| cells.iter().any(|c| c.group == groups.codes[plot]))
        .collect();
    let pick = |f: &Factor| {
        let labels: Vec<&str> = (kept.iter())
            .map(|&plot| f.levels[f.codes[plot]].as_str())
            .collect();
        Factor::from_labels(&f.name, &labels, None)
    };
    let code = |plot: usize| {
        let (treatment, group) = (table.treatment.codes[plot], groups.codes[plot]);
        let cell = cells.iter();
        cell.take_while(|_| treatment > 0)
            .position(|c| c.treatment == treatment && c.group == group)
            .map_or(0, |at| at + 1)
    };
    let name = |c: &Cell| {
        let treatment = &table.treatment.levels[c.treatment];
        format!("{treatment} in {}", groups.levels[c.group])
    };
    let control = std::iter::once(table.treatment.levels[0].clone());
    let parted = PlotTable {
        counts: kept.iter().map(|&plot| table.counts[plot]).collect(),
        exposure: kept.iter().map(|&plot| table.exposure[plot]).collect(),
        treatment: Factor {
            name: table.treatment.name.clone(),
            levels: control.chain(cells.iter().map(name)).collect(),
            codes: kept.iter().map(|&plot| code(plot)).collect(),
        },
        block_structure: match &table.block_structure {
            BlockStructure::Unblocked => BlockStructure::Blocks(pick(groups)),
            BlockStructure::Blocks(block)
            | BlockStructure::RowColumn([block, _])
            | BlockStructure::SplitPlot([block, _]) => BlockStructure::Blocks(pick(block)),
        },
        inference: InferenceSpace::Narrow,
        before: table
            .before
            .as_ref()
            .map(|before| kept.iter().map(|&plot| before[plot]).collect()),
    };
    (parted, pick(groups))
}
